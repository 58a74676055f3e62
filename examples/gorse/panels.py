"""Writes body.obj: Gorse's nose and its left side panel, in millimetres, from a few curves.

Run it in this folder after changing a curve: python3 panels.py
"""

from math import cos, pi, sin

AROUND, UP = 20, 8


def power(v, p):
    return abs(v) ** p * (1 if v > 0 else -1)


def nose(u, v):
    """Round the front from right to left, leaning back towards the top: a rounded square in plan."""
    t = pi * (u - 0.5)
    return 1400 + 235 * power(cos(t), 0.6) - 45 * v * v, 380 * power(sin(t), 0.6), -48 + 345 * v


def side(u, v):
    """From the main hoop forward to the dash, a little barrel-shaped."""
    return -520 + 1220 * u, 604 + 22 * sin(pi * u) + 32 * v + 10 * sin(pi * v), -46 + 480 * v


with open("body.obj", "w", newline="\n") as f:
    f.write("# Gorse: nose and left side panel, mm, x forward, y left, z up; written by panels.py\n")
    first = 1
    for name, place in (("nose", nose), ("side", side)):
        f.write(f"o {name}\n")
        for j in range(UP + 1):
            for i in range(AROUND + 1):
                f.write("v {:.1f} {:.1f} {:.1f}\n".format(*place(i / AROUND, j / UP)))
        for j in range(UP):
            for i in range(AROUND):
                a = first + j * (AROUND + 1) + i
                b = a + AROUND + 1
                # Anticlockwise from outside.
                for t in ((a, a + 1, b + 1), (a, b + 1, b)) if name == "nose" else ((a, b + 1, a + 1), (a, b, b + 1)):
                    f.write("f {} {} {}\n".format(*t))
        first += (UP + 1) * (AROUND + 1)
