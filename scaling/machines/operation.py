"""What every rotor model hands back: one operating point per array element, SI."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class Operation:
    """An operating point; arrays broadcast to one shape, NaN where there is none.

    ``loading`` is the peak fundamental linear current density [A/m], ``gap_field`` the peak fundamental [T], ``shear``
    the mean shear stress [Pa], ``response`` the rotor response Lambda, ``limits`` names what is active and where.
    A backward wave has a gap field of its own, and takes its ``backward_shear`` from the forward wave's: ``shear`` is
    what is left.
    ``breakdown()`` and ``starting()`` return the largest shear stress at the same loading and field limit, and that at
    rest on a fixed voltage; a search seldom asks for them. ``off_design(slip, fixed_supply)`` returns (shear stress,
    loading) from rest to synchronism and beyond, at the continuous loading or at what a fixed voltage drives; the mean
    torque of a rotor that falls behind the field, without what only swings.
    """

    loading: np.ndarray
    gap_field: np.ndarray
    shear: np.ndarray
    slip: np.ndarray
    response: np.ndarray
    magnetic_gap: np.ndarray
    thickness: np.ndarray
    breakdown: Callable[[], np.ndarray]
    starting: Callable[[], np.ndarray]
    off_design: Callable[[np.ndarray, bool], tuple]
    backward_field: np.ndarray | float = 0.0
    backward_shear: np.ndarray | float = 0.0
    goodness: np.ndarray | float = np.nan
    load_angle: np.ndarray | float = np.nan
    saliency: np.ndarray | float = np.nan
    ring_field: np.ndarray | float = np.nan
    limits: dict = field(default_factory=dict)


def in_step(shear, loading):
    """Return the `off_design` of a rotor whose torque has a mean in step only, where a drive always keeps it."""

    def off_design(slip, fixed_supply):
        slip = np.asarray(slip, dtype=float)
        held = (slip == 0.0) if fixed_supply else (slip >= 0.0)
        return np.where(held, shear, 0.0), loading + 0.0 * slip

    return off_design


def near(a, b):
    """Return where two arrays agree to the accuracy of the searches."""
    return np.abs(a - b) <= 1e-3 * np.abs(b)
