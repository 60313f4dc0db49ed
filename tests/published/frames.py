"""Standard motor frames as briefs, and what the package predicts for them. A helper of the tests, nothing collected.

A frame is known by its shaft height H and the distances of its foot holes (IEC 60072-1). The rule, nothing fitted:

* the core is 2*(0.85*H - 8 mm) across, as laminations from 80 to 315 mm are: wall, fins and feet below it do not shrink
  with it (common practice, from memory);
* the core is 0.8 of the distance of the holes along the shaft, for which S, M and L stand (common practice);
* outside over bore diameter 1.75 at 56 mm to 1.48 at 315 mm, straight over the logarithm of H (from memory); slots take
  half of the depth between (common practice); with two poles the bore is smaller by 1.15: its yoke carries twice the
  flux of a pole (common practice);
* gap of Pyrhönen et al. (from memory), 0.18 + 0.006*P**0.4 mm with the power P in W that is predicted;
* an aluminium cage, IC 411, class B, and the torque from rest that IEC 60034-12 asks of design N; all else is as the
  package takes it.

That a start has to be asked for was found with the deviations in view: without it large frames came out half as strong
again. No number was adjusted.
"""

import json
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scaling import Brief
from scaling.decision.optimum import best_designs
from scaling.ground.materials import ENAMEL, PACKING, SLOT_LINER, WEDGE
from scaling.laws import wire

HERE = Path(__file__).parent / "machines"
TABLES = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(HERE.glob("*.json"))}
MERIT = "power per volume"
BASE = {
    "supply_frequency": "50 Hz",
    "pole_pairs": 2,
    "gap_ratio": 0.0,
    "rotor_material": "aluminium",
    "cooling": "IC 411",
    "temperature_rise": "class B",
}
BORES = {0.056: 1.75, 0.315: 1.48}  # outside over bore diameter, by shaft height in m
SLOTS, SLOT_DEPTH, TOOTH_SHARE, GAP_FIELD, VOLTAGE, WINDING = 24, 0.15, 0.5, 0.9, 230.0, 0.95  # the defaults of Brief
THICKEST_WIRE = 1.5e-3  # m over the enamel; above it strands in parallel, as in Brief


@dataclass(frozen=True)
class Frame:
    """A length of a frame size: lengths in m, ratings in W."""

    name: str
    shaft_height: float
    across: float
    along: float
    ratings: tuple

    @property
    def rating(self):
        """The highest rating: the one whose core fills the frame."""
        return max(self.ratings)


def frames():
    """Return every frame of the table."""
    found = {}
    for name, height, across, along, rating in TABLES["frame_outputs"]["data"]:
        found.setdefault(name, (height / 1e3, across / 1e3, along / 1e3, []))[-1].append(rating * 1e3)
    return [Frame(name, *lengths, tuple(ratings)) for name, (*lengths, ratings) in found.items()]


def gap(power):
    """Return the gap of a machine of four and more poles [m], power in W (Pyrhönen et al., from memory)."""
    return (0.18 + 0.006 * power**0.4) * 1e-3


def outside_ratio(frame, pole_pairs=2):
    """Return the outside over the bore diameter of a frame's core."""
    (low, at_low), (high, at_high) = BORES.items()
    part = math.log(frame.shaft_height / low) / math.log(high / low)
    return (at_low + (at_high - at_low) * part) * (1.15 if pole_pairs == 1 else 1.0)


def lengths(frame, power, pole_pairs=2):
    """Return (rotor diameter, active length, gap) of a frame [m]."""
    g = gap(power)
    outside = 2 * (0.85 * frame.shaft_height - 8e-3)
    return outside / outside_ratio(frame, pole_pairs) - 2 * g, 0.8 * frame.along, g


def slot(D):
    """Return (pitch, width, depth) of a stator slot."""
    pitch = math.pi * D / SLOTS
    return pitch, (1 - TOOTH_SHARE) * pitch, SLOT_DEPTH * D


def copper_share(D, L):
    """Return the copper share of the slot layer of a random winding for 230 V, and the wire's overall diameter."""
    _, width, depth = slot(D)
    turns = wire.turns_per_phase(U=VOLTAGE, f=50.0, k_w=WINDING, B=GAP_FIELD, tau=math.pi * D / 4, L=L)
    room = wire.wire_room(w_u=width, d_s=wire.wound_depth(d_s=depth, c_w=WEDGE), t_i=SLOT_LINER)
    k_p = PACKING["random"]
    d_i = wire.overall_diameter(k_p=k_p, S_n=room, z_s=wire.conductors_per_slot(w_t=turns, p=2.0, c_q=2.0))
    d_i = np.minimum(d_i, THICKEST_WIRE)
    phi_w = wire.wire_copper_share(d_i=d_i, **ENAMEL)
    phi_n = wire.slot_copper_share(k_p=k_p, phi_w=phi_w, S_n=room, w_u=width, d_s=depth)
    return float(wire.layer_copper_share(phi_n=phi_n, phi_t=TOOTH_SHARE)), float(d_i)


def additional_loss(power, supplied):
    """Return the additional load losses that IEC 60034-2-1 assigns [W]; from memory."""
    return supplied * (0.025 - 0.005 * max(0.0, math.log10(power / 1e3)))


def brief(frame, power, **given):
    """Return the brief of a frame; power in W, that its gap and its start are for."""
    fields = BASE | given
    pairs = fields["pole_pairs"]
    D, L, g = lengths(frame, power, pairs)
    made = {"rotor_diameter": f"{D:.9g} m", "active_length": f"{L:.9g} m", "gap_floor": f"{g:.9g} m"}
    ratio = outside_ratio(frame, pairs)
    made |= {"outside_ratio": ratio, "slot_depth_ratio": (ratio - 1) / 4}
    return Brief(**{"starting_torque_ratio": starting_need(power)} | made | fields)


def best_induction(made):
    """Return the figures of ``choose(made, merit="power per volume")["induction"]``, without the other three types."""
    found = best_designs(made.si, [made.si.rotor_diameter], MERIT, made.supply_is_fixed, ("induction",))["induction"]
    return {name: float(array[0]) for name, array in found.figures.items()}


def predict(frame, turns=3, **given):
    """Return the figures (SI) of the induction machine of most power in a frame, at its own gap and start."""
    power = frame.rating
    for _ in range(turns):
        figures = best_induction(brief(frame, power, **given))
        power = figures["power"]
    return figures


def starting_need(power):
    """Return the torque from rest over the rated torque that IEC 60034-12 asks of design N, about; power in W.

    From memory: 2 up to 0.63 kW, 1 at 160 kW, in between a straight line over the logarithm of the power.
    """
    return 2.0 - math.log(max(power, 630.0) / 630.0) / math.log(160e3 / 630.0)


def slope(x, y):
    """Return the exponent of the power law through points."""
    return float(np.polyfit(np.log(x), np.log(y), 1)[0])


def efficiency(name, power):
    """Return the efficiency of a class at powers in W, NaN between its two polynomials."""
    x, found = np.asarray(power, float) / 1e3, np.full(np.shape(power), np.nan)
    for label, low, high, *terms in TABLES["efficiency_classes"]["data"]:
        if label == name:
            found = np.where((x >= low) & (x <= high), np.polyval(terms, np.log10(x)) / 100, found)
    return found
