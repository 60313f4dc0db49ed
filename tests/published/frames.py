"""Standard motor frames as briefs, and what the package predicts for them. A helper of the tests, nothing collected.

A frame is known by its shaft height H and the distances of its foot holes (IEC 60072-1). What it holds, nothing fitted:

* from 80 to 280 mm the core of a national series: outside, bore, length (``machines/motor_cores.json``, from memory);
* of others, by a rule of common practice: 2*(0.85*H - 8 mm) across, which is the series' own within 4 %; 0.8 of the
  distance of the holes along the shaft, for which S, M and L stand; outside over bore diameter 1.75 at 56 mm to 1.48 at
  315 mm, straight over the logarithm of H;
* slots take half of the depth between bore and outside (common practice);
* gap of Pyrhönen et al. (from memory), 0.18 + 0.006*P**0.4 mm with the power P in W that is predicted, of two poles
  0.2 + 0.01*P**0.4 mm;
* an aluminium cage, IC 411, class B, and the torque from rest that IEC 60034-12 asks of design N; all else is as the
  package takes it.

That a start has to be asked for, and the cores of the series (0.65 to 0.96 of the holes' distance long, the rule says
0.8), were brought in with the deviations in view. No number was adjusted.
"""

import json
import math
from dataclasses import dataclass, replace
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
    core: tuple = ()  # outside, bore, length; unknown if empty

    @property
    def rating(self):
        """The highest rating: the one whose core fills the frame."""
        return max(self.ratings)


def frames():
    """Return every frame of the table of ratings, four poles."""
    found = {}
    for name, height, across, along, rating in TABLES["frame_outputs"]["data"]:
        found.setdefault(name, (height / 1e3, across / 1e3, along / 1e3, []))[-1].append(rating * 1e3)
    cores = {name: core for name, (_, *core) in cores_of(4).items()}
    return [Frame(name, *lengths, tuple(ratings), cores.get(name, ())) for name, (*lengths, ratings) in found.items()]


def cores_of(poles):
    """Return {frame: (rating, outside, bore, length)} of the series' cores of a pole number, in W and m."""
    rows = TABLES["motor_cores"]["data"]
    return {name: (1e3 * P, *(each / 1e3 for each in core)) for n, name, P, *core in rows if n == poles}


def frames_of(poles):
    """Return the frames of the series with a pole number, and its ratings."""
    outside = {frame.name: frame for frame in frames()}
    return [replace(outside[name], ratings=(P,), core=tuple(core)) for name, (P, *core) in cores_of(poles).items()]


def gap(power, pole_pairs=2):
    """Return the gap of a machine [m], power in W (Pyrhönen et al., from memory)."""
    least, more = (0.2, 0.01) if pole_pairs == 1 else (0.18, 0.006)
    return (least + more * power**0.4) * 1e-3


def core(frame):
    """Return (outside diameter, bore, length) of a frame's core [m]: the series', or by the rule."""
    if frame.core:
        return frame.core
    (low, at_low), (high, at_high) = BORES.items()
    part = math.log(frame.shaft_height / low) / math.log(high / low)
    outside = 2 * (0.85 * frame.shaft_height - 8e-3)
    return outside, outside / (at_low + (at_high - at_low) * part), 0.8 * frame.along


def outside_ratio(frame):
    """Return the outside over the bore diameter of a frame's core."""
    outside, bore, _ = core(frame)
    return outside / bore


def lengths(frame, power, pole_pairs=2):
    """Return (rotor diameter, active length, gap) of a frame [m]."""
    _, bore, length = core(frame)
    g = gap(power, pole_pairs)
    return bore - 2 * g, length, g


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
    D, L, g = lengths(frame, power, fields["pole_pairs"])
    made = {"rotor_diameter": f"{D:.9g} m", "active_length": f"{L:.9g} m", "gap_floor": f"{g:.9g} m"}
    ratio = outside_ratio(frame)
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
