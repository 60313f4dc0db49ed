"""Standard motor frames as briefs, and what the package predicts for them. A helper of the tests, nothing collected.

A frame is known by its shaft height and the distances of its foot holes (IEC 60072-1). The rule, nothing fitted:

* the core's outside diameter is the distance of the foot holes across the shaft, as laminations of this trade are;
* the core is 0.8 of their distance along the shaft: that is what the letters S, M and L stand for (common practice);
* outside over bore diameter 1.6, ordinary for four poles (common practice); gap of Pyrhönen et al. (from memory),
  0.18 + 0.006*P**0.4 mm with the power P in W that is predicted;
* an aluminium cage, ball bearings, fins that double the surface, class B: 80 K over 40 °C (common practice).

One constant is fixed, at the frame 132M: the speed of the cooling air over the rim speed of the rotor.
"""

import json
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scaling import Brief
from scaling.decision.optimum import best_designs
from scaling.ground.materials import ENAMEL, PACKING, SLOT_LINER, WEDGE
from scaling.laws import geometry, wire
from scaling.models import heat

HERE = Path(__file__).parent / "machines"
TABLES = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(HERE.glob("*.json"))}
FIXED_AT = "132M"
MERIT = "power per volume"
BASE = {
    "supply_frequency": "50 Hz",
    "pole_pairs": 2,
    "outside_ratio": 1.6,
    "gap_ratio": 0.0,
    "rotor_material": "aluminium",
    "bearing_friction": 0.0015,
    "cooling": "shaft fan",
    "fin_factor": 2.0,
    "temperature_rise": "80 K",
}
RISE = 80.0
SPEED = 2 * math.pi * 25.0  # of the fan, slip left out
SLOTS, SLOT_DEPTH, TOOTH_SHARE, GAP_FIELD, VOLTAGE, WINDING = 24, 0.15, 0.5, 0.9, 230.0, 0.95  # the defaults of Brief

# What the package leaves out, each with its size; see the docstring of Effects.
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


@dataclass(frozen=True)
class Effects:
    """What the package leaves out or takes as usual, switched on one by one.

    No number is fitted to the ratings, but which effects stand here was chosen with the residuals in view: they explain
    the residuals, they are no blind prediction.

    metal: wall, fins and feet below the core do not shrink with it: core diameter 2*(0.85*H - 8 mm), which is what
    laminations from 80 to 315 mm have (common practice, from memory).
    wire: that of a 230 V winding, strands up to 1.5 mm, in place of the package's usual number of conductors.
    stray: additional load losses, 2.5 % of the input less 0.5 % a decade above 1 kW (IEC 60034-2-1, from memory).
    """

    metal: bool = False
    wire: bool = False
    stray: bool = False


PLAIN = Effects()
ALL = Effects(True, True, True)


def frames():
    """Return every frame of the table."""
    found = {}
    for name, height, across, along, rating in TABLES["frame_outputs"]["data"]:
        found.setdefault(name, (height / 1e3, across / 1e3, along / 1e3, []))[-1].append(rating * 1e3)
    return [Frame(name, *lengths, tuple(ratings)) for name, (*lengths, ratings) in found.items()]


def gap(power):
    """Return the gap of a machine of four and more poles [m], power in W (Pyrhönen et al., from memory)."""
    return (0.18 + 0.006 * power**0.4) * 1e-3


def lengths(frame, power, effects):
    """Return (rotor diameter, active length, gap, core diameter) of a frame [m]."""
    outside = 2 * (0.85 * frame.shaft_height - 8e-3) if effects.metal else frame.across
    g = gap(power)
    return outside / BASE["outside_ratio"] - 2 * g, 0.8 * frame.along, g, outside


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


def overall_length(D, L):
    """Return the length over the end windings as the package takes it, with its default overhang; D the rotor's."""
    overhang = geometry.end_overhang(c_o=0.3, tau=math.pi * D / (2 * BASE["pole_pairs"]), c_l=0.05, D=D)
    return geometry.overall_length(L=L, l_e=overhang)


def outside_area(outside, D, L):
    """Return the bare outside over core and end windings, as the package takes it."""
    return geometry.outside_area(D_o=outside, L_o=overall_length(D, L))


def additional_loss(power, supplied):
    """Return the additional load losses that IEC 60034-2-1 assigns [W]; from memory."""
    return supplied * (0.025 - 0.005 * max(0.0, math.log10(power / 1e3)))


def brief(frame, fan, power, effects=PLAIN, extra=0.0, **given):
    """Return the brief of a frame; an extra loss, which the outside passes too, lowers the rise that is left."""
    D, L, g, outside = lengths(frame, power, effects)
    fields = BASE | {"fan_speed_ratio": fan} | given
    fields |= {"rotor_diameter": f"{D:.9g} m", "active_length": f"{L:.9g} m", "gap_floor": f"{g:.9g} m"}
    if effects.wire:
        fields["slot_fill"] = copper_share(D, L)[0] / (1 - TOOTH_SHARE)
    if extra:
        area, length = outside_area(outside, D, L), overall_length(D, L)
        at = {"outside_diameter": outside, "length": length, "outside_area": area, "rim_speed": SPEED * D / 2}
        h = heat.outside_coefficient(Brief(**fields).si, **at)
        fields["temperature_rise"] = f"{RISE - extra / (float(h) * area):.9g} K"
    return Brief(**fields)


def best_induction(made):
    """Return the figures of ``choose(made, merit="power per volume")["induction"]``, without the other three types."""
    found = best_designs(made.si, [made.si.rotor_diameter], MERIT, made.supply_is_fixed, ("induction",))["induction"]
    return {name: float(array[0]) for name, array in found.figures.items()}


def predict(frame, fan, effects=PLAIN, turns=3, **given):
    """Return the figures (SI) of the induction machine of most power in a frame, at its own gap and additional loss."""
    power, extra = frame.rating, 0.0
    if effects.stray:
        turns, extra = 2 * turns, additional_loss(power, 1.1 * power)
    for _ in range(turns):
        figures = best_induction(brief(frame, fan, power, effects, extra, **given))
        power = figures["power"]
        if effects.stray:
            supplied = power + figures["loss"] + extra
            extra = (extra + additional_loss(power, supplied)) / 2
    figures["loss"] += extra
    figures["efficiency"] = power / (power + figures["loss"])
    return figures


def starting_need(power):
    """Return the torque from rest over the rated torque that IEC 60034-12 asks of design N, about; power in W.

    From memory: 2 up to 0.63 kW, 1 at 160 kW, in between a straight line over the logarithm of the power.
    """
    return 2.0 - math.log(max(power, 630.0) / 630.0) / math.log(160e3 / 630.0)


def starting_cage(frame, fan, effects=PLAIN, steps=7):
    """Return the figures with bars so shallow that the machine starts as the standard asks."""
    low, high = 0.008, 0.2
    for _ in range(steps):
        depth = math.sqrt(low * high)
        made = predict(frame, fan, effects, turns=1, rotor_depth_ratio=depth)
        if made["starting_torque"] > starting_need(made["power"]) * made["torque"]:
            low = depth
        else:
            high = depth
    return made


def fan_ratio(effects=PLAIN, at=FIXED_AT, **given):
    """Return the air speed over rim speed with which one frame gives its rating: a secant in logarithms."""
    frame = next(f for f in frames() if f.name == at)

    def missing(x):
        return math.log(predict(frame, math.exp(x), effects, turns=2, **given)["power"] / frame.rating)

    a, b = math.log(0.4), math.log(0.8)
    at_a, at_b = missing(a), missing(b)
    for _ in range(8):
        a, b, at_a = b, np.clip(b - at_b * (b - a) / (at_b - at_a), math.log(0.02), math.log(5.0)), at_b
        at_b = missing(b)
        if abs(at_b) < 3e-4 or a == b:
            break
    return math.exp(b)


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
