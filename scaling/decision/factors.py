"""What multiplies to a figure of a design: every factor once, with what it is made of in turn.

A factor is a number of one design, in SI. The ratio of two designs is the product of the ratios of their factors, each
to its power: exactly, whatever the kinds, sizes and briefs, since every factor is worked out from the design's own
figures and the rest cancels.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from scaling.laws import geometry
from scaling.laws import stator as laws

STAGES = {  # losses as power flows to the shaft: {name: how it is said}
    "winding": "winding loss",
    "additional": "additional load losses",
    "shading": "shading rings",
    "core": "core loss",
    "can": "the can",
    "rotor": "rotor loss",
    "friction": "friction",
    "fan": "the fan",
}


@dataclass(frozen=True)
class Factor:
    """A factor: ``value(design)`` in SI, how it is said, and the ``parts`` that multiply to it, {name: power}.

    ``noun`` completes "1.3 times ..."; ``unit`` is an SI unit, "%" or "" for a plain number, shown in ``shown_in`` if
    that is another.
    """

    name: str
    noun: str
    unit: str
    value: Callable[[Any], float]
    parts: Mapping[str, float] = field(default_factory=dict)
    shown_in: str = ""


def _figure(name):
    return lambda design: design.values[name]


def _over(above, below):
    """Return the ratio of two figures."""
    return lambda design: design.values[above] / design.values[below]


def bore(design):
    """Return the volume of the bore [m³]."""
    return geometry.bore_volume(D_i=design.values["bore_diameter"], L=design.values["active_length"])


def forward_field(design):
    """Return the peak of the forward wave's gap field [T]."""
    return design.values["gap_field_peak"] - design.values["backward_field_peak"]


def _stress(design):
    """Return the mean shear stress at the bore [Pa]: torque is the volume of the bore times twice the stress."""
    return design.values["gap_torque"] / (2 * bore(design))


def _cosine(design):
    driving = _stress(design) + design.values["backward_shear"]
    return laws.loading_cosine(sigma_t=driving, A=design.values["linear_current_density_peak"], B=forward_field(design))


def _left_by_backward_wave(design):
    return _stress(design) / (_stress(design) + design.values["backward_shear"])


def _winding_factor(design):
    return design.values["linear_current_density_peak"] / (math.sqrt(2) * design.values["linear_current_density_rms"])


def _over_open_gap(design):
    v = design.values
    gap = {"k": v["wave_number"], "g_m": v["magnetic_gap"]}
    return laws.field_over_open_gap(B=forward_field(design), A=v["linear_current_density_peak"], **gap)


def _copper_layer(design):
    """Return the thickness of the winding's copper, spread over the bore [m]."""
    return design.values["linear_current_density_rms"] / design.values["current_density_rms"]


def _outside(design):
    return geometry.outside_area(D_o=design.values["outside_diameter"], L_o=design.values["overall_length"])


def _heat(design):
    """Return the heat that leaves by the outside [W]."""
    return design.values["heat_flux"] * _outside(design)


def _resistivity(design):
    v = design.values
    return laws.effective_resistivity(P_w=v["winding loss"], J_rms=v["current_density_rms"], V_w=v["winding_volume"])


def _left_by(loss):
    """Return the share of the power that one loss leaves of what reaches it on the way to the shaft."""
    later = [*STAGES][[*STAGES].index(loss) + 1 :]

    def share(design):
        v = design.values
        left = v["power"] + sum(v[f"{name} loss"] for name in later)
        return left / (left + v[f"{loss} loss"])

    return share


FACTORS = {
    factor.name: factor
    for factor in (
        # Torque: field times current times their cosine over the bore, less what brakes
        Factor(
            "gap field", "the gap field", "T", forward_field,
            {"winding current": 1, "pole pitch over gap": 1, "field over the winding's own": 1},
        ),
        Factor(
            "winding current", "the winding current", "A/m", _figure("linear_current_density_rms"),
            {"current density": 1, "slot depth": 1, "slot fill": 1, "slots' share of the bore": 1},
        ),
        Factor("winding factor", "the winding factor", "", _winding_factor),
        Factor("cosine of phase", "the cosine between field and current", "", _cosine),
        Factor(
            "torque left by the backward wave", "the share of torque left by the backward wave", "%",
            _left_by_backward_wave,
        ),
        Factor(
            "bore", "the volume of the bore", "m**3", bore, {"bore diameter": 2, "length of the core": 1}, "cm**3"
        ),
        Factor("torque left by friction", "the share of torque left by friction", "%", _over("torque", "gap_torque")),
        Factor("speed", "the speed", "rad/s", _figure("speed")),
        # Envelope and mass
        Factor(
            "bore in the envelope", "the share of the bore in the envelope", "%",
            lambda d: bore(d) / d.values["volume"], {"bore over outside": 2, "core over whole length": 1},
        ),
        Factor(
            "bore over outside", "the bore over the outside diameter", "",
            _over("bore_diameter", "outside_diameter"),
        ),
        Factor(
            "core over whole length", "the share of the core in the length", "%",
            _over("active_length", "overall_length"),
        ),
        Factor(
            "envelope", "the envelope", "m**3", _figure("volume"), {"outside diameter": 2, "whole length": 1}, "cm**3"
        ),
        Factor("density", "the mean density", "kg/m**3", _over("mass", "volume")),
        Factor("envelope per mass", "the envelope per kilogram", "m**3/kg", _over("volume", "mass"), {}, "dm**3/kg"),
        Factor("mass", "the mass", "kg", _figure("mass"), {"envelope": 1, "density": 1}),
        Factor("outside diameter", "the outside diameter", "m", _figure("outside_diameter")),
        Factor("whole length", "the length over the end windings", "m", _figure("overall_length")),
        Factor("bore diameter", "the bore", "m", _figure("bore_diameter")),
        Factor("length of the core", "the length of the core", "m", _figure("active_length")),
        # What sets up the gap field
        Factor(
            "pole pitch over gap", "the pole pitch over the gap", "",
            lambda d: math.pi / (d.values["wave_number"] * d.values["magnetic_gap"]),
        ),
        Factor(
            "field over the winding's own", "the field over what the winding alone would set up", "", _over_open_gap
        ),
        # What the winding carries
        Factor(
            "current density", "the current density", "A/m**2", _figure("current_density_rms"),
            {
                "heat flux": 0.5, "winding's share of the heat": 0.5, "outside over copper": 0.5,
                "resistivity of the winding": -0.5,
            },
            "A/mm**2",
        ),
        Factor("slot depth", "the slot depth", "m", _figure("slot_depth")),
        Factor("slot fill", "the copper in the slots", "%", _figure("slot_fill")),
        Factor(
            "slots' share of the bore", "the share of the slots along the bore", "%",
            lambda d: _copper_layer(d) / (d.values["slot_depth"] * d.values["slot_fill"]),
        ),
        Factor(
            "heat flux", "the heat per outside surface", "W/m**2", _figure("heat_flux"),
            {"heat transfer": 1, "rise of the outside": 1},
        ),
        Factor("heat transfer", "the heat transfer of the outside", "W/m**2/K", _figure("heat_coefficient")),
        Factor(
            "rise of the outside", "the rise of the outside", "K",
            _over("heat_flux", "heat_coefficient"),
        ),
        Factor(
            "winding's share of the heat", "the winding's share of the heat", "%",
            lambda d: d.values["winding loss"] / _heat(d),
        ),
        Factor(
            "outside over copper", "the outside surface per volume of copper", "1/m",
            lambda d: _outside(d) / d.values["winding_volume"],
        ),
        Factor(
            "resistivity of the winding", "the effective resistivity of the winding", "ohm*m", _resistivity, {},
            "nohm*m",
        ),
        # Losses
        Factor(
            "losses", "the losses", "W", _figure("loss"),
            {
                "current density": 2, "copper": 1, "resistivity of the winding": 1,
                "losses over those of the winding": 1,
            },
        ),
        Factor("copper", "the volume of copper", "m**3", _figure("winding_volume"), {}, "cm**3"),
        Factor(
            "losses over those of the winding", "the losses over those of the winding", "",
            _over("loss", "winding loss"),
        ),
        *(
            Factor(f"power left by {said}", f"the share of power left by {said}", "%", _left_by(name))
            for name, said in STAGES.items()
        ),
        Factor("power factor", "the power factor", "", _figure("power_factor")),
    )
}  # fmt: skip
STRESS = {
    "gap field": 1,
    "winding current": 1,
    "winding factor": 1,
    "cosine of phase": 1,
    "torque left by the backward wave": 1,
    "torque left by friction": 1,
}
TORQUE = STRESS | {"bore": 1}
EFFICIENCY = dict.fromkeys((f"power left by {said}" for said in STAGES.values()), 1)


def ratio(name, a, b):
    """Return the ratio of a factor of two designs, a over b."""
    return float(FACTORS[name].value(a) / FACTORS[name].value(b))


def contributions(parts, a, b):
    """Return {name: ratio of the factor to its power} of factors {name: power} of two designs, a over b."""
    return {name: ratio(name, a, b) ** power for name, power in parts.items()}
