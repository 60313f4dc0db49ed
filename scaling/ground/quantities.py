"""The kinds of quantity a field may expect: SI unit, example, plausible range, and what tells like units apart."""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class QuantityKind:
    """Describe one kind of quantity: its SI unit, an example, its plausible range, which units state it.

    Units of one dimension are told apart by unit names without prefix (``only``, ``never``), by the
    dimensions each name may have (``made_of``) and by the powers of the radian that may occur (``angle``).
    """

    name: str
    unit: str
    example: str
    low: float
    high: float
    remedy: str = ""
    only: tuple = ()
    never: tuple = ()
    made_of: tuple = ()
    angle: tuple = (0,)


_RPM = math.pi / 30  # rad/s
_TURNS = "it is turns or angle per time, not hertz"
_ARM = "it is a force times an arm, N*m, and not an energy"
_STEPS = ("kelvin", "delta_degree_Celsius")
_SCALES = ("kelvin", "degree_Celsius", "degree_Fahrenheit")
_MECHANICAL = ("[force]", "[length]", "[mass]", "[time]")
QUANTITY_KINDS = (
    QuantityKind("length", "m", "20 mm", 1e-9, 1e3),
    QuantityKind("frequency", "Hz", "50 Hz", 1e-3, 1e7, "it is in hertz, not turns or angle per time", ("hertz",)),
    QuantityKind("rotational speed", "rad/s", "3000 rpm", _RPM / 1e5, _RPM * 1e8, _TURNS, (), ("hertz",), angle=(1,)),
    QuantityKind("linear speed", "m/s", "5 m/s", 1e-9, 1e4, angle=(0, 1)),
    QuantityKind("temperature rise", "K", "60 K", 1e-2, 2e3, "it is a difference: K or delta_degC", only=_STEPS),
    QuantityKind("temperature", "K", "20 degC", 1.0, 3e3, "it is read on a scale: degC, degF or K", only=_SCALES),
    QuantityKind("torque", "N*m", "0.2 N*m", 1e-18, 1e9, _ARM, made_of=_MECHANICAL),
    QuantityKind("heat transfer coefficient", "W/m^2/K", "10 W/m^2/K", 1e-2, 1e6),
    QuantityKind("thermal conductivity", "W/m/K", "0.2 W/m/K", 1e-3, 1e4),
    QuantityKind("flux density", "T", "0.8 T", 1e-9, 1e2, 'for 10 kG write "1 T"'),
    QuantityKind("magnetic field strength", "A/m", "5 kA/m", 1e-3, 1e8, 'for 1 Oe write "79.58 A/m"'),
    QuantityKind("pressure", "Pa", "80 kPa", 1.0, 1e8),
    QuantityKind("viscosity", "Pa*s", "20 mPa*s", 1e-6, 1e3),
    QuantityKind("specific loss", "W/kg", "4 W/kg", 1e-3, 1e3),
    QuantityKind("time", "s", "10 min", 1e-3, 1e8, "it is a time, not a frequency"),
    QuantityKind("power", "W", "50 W", 1e-15, 1e10, "real power is in W", never=("volt_ampere", "volt"), angle=(0, 1)),
    QuantityKind("voltage", "V", "400 V", 1e-6, 1e7),
    QuantityKind("mass", "kg", "2 kg", 1e-15, 1e7),
    QuantityKind("electrical conductivity", "S/m", "35 MS/m", 1e-6, 1e9),
    QuantityKind("ratio", "", "0.4", 1e-9, 1e6, 'for 40 percent write "0.4"'),
    QuantityKind("positive integer", "", "2", 1.0, 1e6),
)
QUANTITY_KINDS = {kind.name: kind for kind in QUANTITY_KINDS}  # by name
