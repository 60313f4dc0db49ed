"""Fields of a brief that contradict each other: every rule once, for one brief or arrays of them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.ground import units
from scaling.ground.messages import shorten
from scaling.machines.stator import gap_of

WARMEST = 333.15 + 1e-9  # K, coolant up to which a thermal class says a rise


@dataclass(frozen=True)
class Rule:
    """``broken(si)`` says where the fields contradict each other, ``message(brief, si)`` what to give instead."""

    broken: Callable[[Any], Any]
    message: Callable[[Any, Any], str]


def _wide_gap(brief, si):
    gap = gap_of(si, si.rotor_diameter)
    return (
        f"{'gap_floor' if gap == si.gap_floor else 'gap_ratio'}: a gap of {units.show_si(float(gap), 'm')} is not "
        f"below the radius of rotor_diameter={shorten(brief.rotor_diameter)}; give a smaller gap or a larger rotor"
    )


def _no_yoke(brief, si):
    if brief.leaves_frame_open:
        return (
            f"outside_diameter: got {shorten(brief.outside_diameter)}, which leaves no yoke outside the slots of a "
            f"rotor of {units.show_si(float(si.rotor_diameter), 'm')}; give a larger outside or a smaller rotor"
        )
    return (
        f"outside_ratio: got {si.outside_ratio:g}, which leaves no yoke outside slots of slot_depth_ratio="
        f"{si.slot_depth_ratio:g}; expected more than {1 + 2 * si.slot_depth_ratio:g}"
    )


def _rings_without_one_phase(brief, si):
    return (
        f"shaded_share: got {shorten(brief.shaded_share)} beside supply={si.supply!r}; shading rings belong to poles "
        "of one phase: give supply='single-phase'"
    )


def _too_warm_for_a_class(brief, si):
    return (
        f"temperature_rise: got {shorten(brief.temperature_rise)} in ambient={shorten(brief.ambient)}; IEC 60034-1 "
        "leaves coolants above 60 °C to agreement: give the rise in kelvins"
    )


RULES = (
    Rule(lambda si: gap_of(si, si.rotor_diameter) >= si.rotor_diameter / 2, _wide_gap),
    Rule(lambda si: (si.outside_ratio - 1) / 2 <= si.slot_depth_ratio, _no_yoke),
    Rule(lambda si: (si.shaded_share is not None) & (si.supply != "single-phase"), _rings_without_one_phase),
    Rule(lambda si: (si.thermal_class is not None) & (si.ambient > WARMEST), _too_warm_for_a_class),
)


def possible(si):
    """Return where what each field allows alone can be made together."""
    return ~np.any(np.broadcast_arrays(*(rule.broken(si) for rule in RULES)), axis=0)


def refuse(brief, si):
    """Raise ValueError for the first rule that a brief breaks."""
    for rule in RULES:
        if rule.broken(si):
            raise ValueError(rule.message(brief, si))
