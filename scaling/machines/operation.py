"""What every rotor model hands back: one operating point per array element, SI."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

VOLTAGE = "voltage and frequency stay those of the design's point"
MOST = 4.0  # times its own loading, or ring field, up to which a drive's machine is looked at


class Loads(NamedTuple):
    """The same machine at other loads: ``at(place)`` is its Operation, on its own voltage or as a drive keeps it.

    The torque across the gap rises with the place from none at 0, up to its largest or to ``most``; ``rated`` is the
    place of the operating point itself. ``rule`` says in words what is kept, ``linear_iron`` whether iron stays as
    permeable as it is there.
    """

    rated: Any
    most: Any
    at: Callable[[Any], "Operation"]
    rule: str
    linear_iron: bool = False


@dataclass(frozen=True)
class Operation:
    """An operating point; arrays broadcast to one shape, NaN where there is none.

    ``loading`` is the peak fundamental linear current density [A/m], ``gap_field`` the peak fundamental [T], ``shear``
    the mean shear stress [Pa], ``response`` the rotor response Lambda, ``limits`` names what is active and where.
    ``ideal_loading`` and ``ideal_remanence`` are those of the same fields with ideal iron; None: no other loading.
    A backward wave has a gap field of its own, and takes its ``backward_shear`` from the forward wave's: ``shear`` is
    what is left. ``resistivity`` is that of a rotor's conductor at its own temperature [ohm·m].
    ``breakdown(fixed_supply)`` returns the largest shear stress, on a fixed voltage or at the same loading,
    ``starting()`` (shear stress, loading) at rest on a fixed voltage; a search seldom asks for them.
    ``off_design(slip, fixed_supply)`` returns (shear stress, loading) from rest to synchronism and beyond, at the
    continuous loading or at what a fixed voltage drives; the mean torque of a rotor that falls behind the field,
    without what only swings, and the largest it has in step. ``loads(fixed_supply)`` returns its `Loads`. ``cage()``
    returns the `StartingCage` there is room for; it is None of a rotor that starts on its own torque. ``form`` holds
    what was chosen of the rotor, {name of a figure: value}.
    ``saturating`` are the Loadings at which tooth tips saturate, None where they are as at the operating point;
    ``magnetised`` is 1 where the supply magnetises the gap, -1 where the rotor gives reactive power.
    ``circuit()`` returns the constants of an induction machine's circuit, those of ideal iron;
    ``weaker(part, shear)`` (loading, gap field, shear stress, largest shear stress) of a hysteresis ring at a part of
    its field, that gives a shear stress or, with None, all it can; None of other rotors.
    """

    loading: np.ndarray
    gap_field: np.ndarray
    shear: np.ndarray
    slip: np.ndarray
    response: np.ndarray
    magnetic_gap: np.ndarray
    thickness: np.ndarray
    breakdown: Callable[[bool], np.ndarray]
    starting: Callable[[], tuple]
    off_design: Callable[[np.ndarray, bool], tuple]
    loads: Callable[[bool], Loads]
    ideal_loading: np.ndarray | None = None
    ideal_remanence: np.ndarray | float = np.nan
    backward_field: np.ndarray | float = 0.0
    backward_shear: np.ndarray | float = 0.0
    goodness: np.ndarray | float = np.nan
    resistivity: np.ndarray | float = np.nan
    load_angle: np.ndarray | float = np.nan
    saliency: np.ndarray | float = np.nan
    ring_field: np.ndarray | float = np.nan
    saturating: Any = None
    magnetised: np.ndarray | float = 1.0
    ring_mass: np.ndarray | float = 0.0
    cage: Callable[[], Any] | None = None
    circuit: Callable[[], dict] | None = None
    weaker: Callable[..., tuple] | None = None
    form: dict = field(default_factory=dict)
    limits: dict = field(default_factory=dict)


def in_step(breakdown, loading):
    """Return the `off_design` of a rotor whose torque has a mean in step only, where a drive always keeps it."""

    def off_design(slip, fixed_supply):
        slip = np.asarray(slip, dtype=float)
        held = (slip == 0.0) if fixed_supply else (slip >= 0.0)
        return np.where(held, breakdown(fixed_supply), 0.0), loading + 0.0 * slip

    return off_design


def near(a, b):
    """Return where two arrays agree to the accuracy of the searches; an infinite limit is none."""
    return np.isfinite(b) & (np.abs(a - b) <= 1e-3 * np.abs(b))
