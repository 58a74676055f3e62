"""Cost and memory against size as SVG, log-log, for `frame_speed.py`."""

import math

WIDTH, HEIGHT, LEFT, TOP, GAP = 330, 300, 60, 40, 165
# Ours are thick; the others differ by colour and mark.
STYLES = {
    "Tubewright": ("#c22", "circle"), "Tubewright, two threads": ("#c22", "ring"), "scipy": ("#36c", "square"),
    "CHOLMOD": ("#283", "square"), "PARDISO": ("#737", "square"), "PARDISO, two threads": ("#737", "hollow"),
    "OpenSees": ("#a60", "diamond"), "CalculiX": ("#444", "diamond"), "PyNite": ("#088", "diamond"),
}


def mark(kind, x, y, colour):
    if kind in ("circle", "ring"):
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{colour if kind == "circle" else "#fff"}" stroke="{colour}"/>'
    turn = f' transform="rotate(45 {x:.1f} {y:.1f})"' if kind == "diamond" else ""
    fill = "#fff" if kind == "hollow" else colour
    return f'<rect x="{x - 3:.1f}" y="{y - 3:.1f}" width="6" height="6" fill="{fill}" stroke="{colour}"{turn}/>'


def power(value):
    """A decade in words: 0.1, 1, … 100,000."""
    return f"{value:,.0f}" if value >= 1 else f"{value:g}"


def panel(left, top, title, unit, lines, ends):
    """Lines: name → [(size, value)]. `ends`: the decades that the upright axis runs over."""
    low, high = ends
    first, last = 2, math.log10(40_000)
    at_x = lambda v: left + (math.log10(v) - first) / (last - first) * WIDTH
    at_y = lambda v: top + (1 - (math.log10(v) - low) / (high - low)) * HEIGHT
    out = [f'<text x="{left}" y="{top - 14}" font-weight="bold">{title}</text>',
           f'<rect x="{left}" y="{top}" width="{WIDTH}" height="{HEIGHT}" fill="none" stroke="#999"/>']
    for d in range(low, high + 1):
        y = at_y(10**d)
        out.append(f'<line x1="{left}" x2="{left + WIDTH}" y1="{y:.1f}" y2="{y:.1f}" stroke="#ddd"/>')
        out.append(f'<text x="{left - 6}" y="{y + 4:.1f}" text-anchor="end">{power(10.0**d)}</text>')
    for d in (2, 3, 4):
        x = at_x(10**d)
        out.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{top}" y2="{top + HEIGHT}" stroke="#ddd"/>')
        out.append(f'<text x="{x:.1f}" y="{top + HEIGHT + 16}" text-anchor="middle">{power(10**d)}</text>')
    out.append(f'<text x="{left + WIDTH / 2}" y="{top + HEIGHT + 32}" text-anchor="middle">tubes</text>')
    out.append(f'<text x="{left - 46}" y="{top - 14}" text-anchor="start">{unit}</text>')
    labels = []
    for name, points in lines.items():
        colour, kind = STYLES[name]
        places = [(at_x(n), at_y(v)) for n, v in sorted(points) if v > 0]
        if not places:
            continue
        wide = 2.5 if name.startswith("Tubewright") else 1.2
        dash = ' stroke-dasharray="5 3"' if "two" in name else ""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
        out.append(f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="{wide}"{dash}/>')
        out += [mark(kind, x, y, colour) for x, y in places]
        labels.append([places[-1][1], places[-1], name, colour])
    # Names beside the ends of their lines, pushed apart.
    labels.sort(key=lambda l: l[0])
    for _ in range(50):
        for a, b in zip(labels, labels[1:]):
            lack = 13 - (b[0] - a[0])
            if lack > 0:
                a[0], b[0] = a[0] - lack / 2, b[0] + lack / 2
    for y, (px, py), name, colour in labels:
        x = left + WIDTH + 8
        out.append(f'<line x1="{px + 5:.1f}" y1="{py:.1f}" x2="{x - 2}" y2="{y:.1f}" stroke="{colour}" stroke-width="0.5"/>')
        out.append(f'<text x="{x}" y="{y + 4:.1f}" fill="{colour}">{name}</text>')
    return out


def plot(panels):
    """Panels: rows of (title, unit, lines)."""
    across, down = max(map(len, panels)), len(panels)
    width, height = across * (LEFT + WIDTH + GAP), down * (TOP + HEIGHT + 55)
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="12">',
           f'<rect width="{width}" height="{height}" fill="#fff"/>']
    for j, row in enumerate(panels):
        # One scale to a row: its panels are compared.
        values = [v for p in row for points in p[2].values() for _, v in points if v > 0]
        ends = math.floor(math.log10(min(values))), math.ceil(math.log10(max(values)))
        for i, (title, unit, lines) in enumerate(row):
            out += panel(LEFT + i * (LEFT + WIDTH + GAP), TOP + j * (TOP + HEIGHT + 55), title, unit, lines, ends)
    return "\n".join(out + ["</svg>"]) + "\n"
