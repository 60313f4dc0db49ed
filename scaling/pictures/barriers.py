"""Outlines of a rotor's flux barriers, as the laws have them: half rings around the q axis, centred on the surface.

The laws are those of the rotor unrolled. It is bent back onto the circle by the mapping that keeps angles, and so the
permeance of every barrier: what lies at depth y comes to the radius R*exp(-y/R), and shrinks with it.
"""

from types import SimpleNamespace

import numpy as np

from scaling.ground import units
from scaling.machines import reluctance

SIDE = 60  # points along each side of a barrier


def sizes(*, R, p, si, number, share, per_metre):
    """Return pole pitch, number and share of the barriers, and rib thickness; lengths in the unit of the drawing."""
    tau = np.pi * R / p
    rib, _ = reluctance.barred_rotor(si, 2 * R / per_metre, tau / per_metre, share)
    return SimpleNamespace(R=R, tau=tau, number=number, share=share, rib=per_metre * rib, per_metre=per_metre)


def depth_radius(R, y):
    """Return the radius to which the depth y under a flat surface is bent."""
    return R * np.exp(-y / R)


def outlines(*, R, tau, number, share, rib, per_metre, density):
    """Return the paths (radii, angles) of a pole's barriers, the innermost first; angles from the q axis.

    Parameters
    ----------
    R, tau, rib : float
        rotor radius, pole pitch and rib thickness in one unit
    number : int
        of barriers
    share : float
        of the barriers in the rotor's depth
    per_metre : float
        of that unit
    density : float
        points per radian of the edges along the ribs
    """
    pitch = tau / (2 * number + 1)
    under = -R * np.log(1 - rib / R)  # depth of the rib's inner side
    paths = []
    for middle in pitch * np.arange(1, number + 1):
        inner, outer = np.maximum((middle - share * pitch / 2, middle + share * pitch / 2), under)
        x, y = np.hstack([_side(outer, under, 1), _side(inner, under, -1)])
        edge = np.linspace(x[-1], x[0], max(2, int(np.ceil(abs(x[-1] - x[0]) / R * density))))[1:-1]
        far = np.linspace(x[SIDE - 1], x[SIDE], edge.size + 2)[1:-1]
        x = np.concatenate([x[:SIDE], far, x[SIDE:], edge])
        y = np.concatenate([y[:SIDE], np.full(far.size, under), y[SIDE:], np.full(edge.size, under)])
        paths.append((depth_radius(R, y), x / R))
    return paths


def parts(*, R, tau, number, share, rib, per_metre, q):
    """Return [(name, radius, angle)] of barriers and ribs at the pole whose q axis is at the angle q."""
    pitch = tau / (2 * number + 1)
    count = f"{number} barrier{'s' if number > 1 else ''} a pole, {100 * share:.0f} % of the depth"
    return [
        (count, depth_radius(R, pitch), q),
        (f"ribs of {units.show_si(rib / per_metre, 'm')}", R - rib / 2, q - number * pitch / R),
    ]


def _side(radius, under, sense):
    """Return x, y of a half circle around the surface, as far as it lies deeper than ``under``."""
    start = np.arcsin(under / radius)
    angle = np.linspace(start, np.pi - start, SIDE)[::sense]
    return np.array([radius * np.cos(angle), radius * np.sin(angle)])
