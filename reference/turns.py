"""Turns in space as unit quaternions (scalar last), many at a time: scipy's own objects are far slower in bulk."""

import numpy as np


def identity(n):
    return np.tile([0.0, 0.0, 0.0, 1.0], (n, 1))


def times(a, b):
    """The turn b, then a."""
    u, v, p, q = a[..., :3], b[..., :3], a[..., 3:], b[..., 3:]
    return np.concatenate([p * v + q * u + np.cross(u, v), p * q - np.sum(u * v, axis=-1, keepdims=True)], axis=-1)


def back(a):
    return a * [-1.0, -1.0, -1.0, 1.0]


def of(v):
    """From an axis times an angle."""
    half = np.linalg.norm(v, axis=-1, keepdims=True) / 2
    return np.concatenate([v * np.sinc(half / np.pi) / 2, np.cos(half)], axis=-1)


def vector(a):
    """Axis times angle, the short way round."""
    a = np.where(a[..., 3:] < 0, -a, a)
    sine = np.linalg.norm(a[..., :3], axis=-1, keepdims=True)
    small = sine < 1e-300
    return a[..., :3] * np.where(small, 2.0, 2 * np.arctan2(sine, a[..., 3:]) / np.where(small, 1.0, sine))


def apply(a, v):
    u = a[..., :3]
    t = 2 * np.cross(u, v)
    return v + a[..., 3:] * t + np.cross(u, t)
