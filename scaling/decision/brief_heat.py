"""Fields of a brief on heat: how the drive is cooled, how warm it may become, and for how long it works."""

from dataclasses import dataclass, field

from scaling.decision.fields import given, one_of, rise_or_class
from scaling.ground.units import Given
from scaling.models.heat import MODES


@dataclass(frozen=True, kw_only=True)
class Heat:
    """Cooling, temperatures and duty; see `scaling.decision.brief.Brief`."""

    cooling: Given = field(
        default="still air",
        metadata={
            "cooling": True,
            "doc": f"one of {', '.join(f'{mode.name} ({mode.way})' for mode in MODES.values())}; a code of IEC 60034-6 "
            "as 'IC 411'; or a coefficient as '25 W/m^2/K' from frame to coolant. All refer to the bare outside; with "
            "temperature_drop='none' they count from the winding",
        },
    )
    ambient: Given = given(
        "temperature", "40 degC", "temperature of the coolant; 40 °C is the usual rating reference", low=150.0
    )
    air_pressure: Given = given("pressure", "101.325 kPa", "pressure of the air around; 70 kPa at 3000 m")
    temperature_rise: Given = rise_or_class(
        "60 K",
        "mean rise of the winding over the coolant; or its thermal class: 'class F' is 105 K at 40 °C, less or more "
        "in another ambient (IEC 60034-1)",
    )
    temperature_drop: str = one_of(
        "as built",
        ("as built", "none"),
        "from winding and rotor to frame; none: one temperature, or a coefficient that counts from the winding",
    )
    coolant_speed: Given = given(
        "linear speed", "3 m/s", "speed of forced air or water past the outside, or of the coolant in a jacket"
    )
    fan_speed_ratio: Given = given(
        "ratio", 1.0, "air speed of a shaft fan over rim speed; fan a little larger than the rotor", high=5.0
    )
    fan_loss_coefficient: Given = given(
        "ratio",
        0.6,
        "power of a shaft fan over that of the air that would pass the machine's section at its speed; radial blades "
        "for both directions, common practice",
        zero=True,
        high=10.0,
    )
    fin_factor: Given = given(
        "ratio",
        None,
        "surface with fins over bare outside, for convection; if not given 2 of a cooling typed as IC 411, IC 416 or "
        "IC 418, as such frames have (common practice), else 1",
        low=1.0,
        high=20.0,
        optional=True,
    )
    emissivity: Given = given("ratio", 0.85, "emissivity of the painted outside", zero=True, high=1.0)
    jacket_height_ratio: Given = given(
        "ratio", 0.02, "height of the channel of a water or oil jacket over outside diameter; 3 to 8 mm", high=0.5
    )
    flange_conductance: Given = given(
        "heat transfer coefficient",
        "1000 W/m^2/K",
        "conductance of the joint of a flange, for the area of the machine's face; bolted metal in air 500 to 5000 "
        "(common practice), for cooling='flange'",
    )
    medium_conductivity: Given = given(
        "thermal conductivity",
        "0.5 W/m/K",
        "conductivity of the medium around, for cooling='conduction'; potting, oil or wet ground",
    )
    duty: str = one_of(
        "S1", ("S1", "S2", "S3", "S6"), "S1 continuous, S2 short-time, S3 intermittent periodic, S6 load and no load"
    )
    duty_time: Given = given("time", "10 min", "S2: time at work; S3, S6: time of a cycle")
    duty_factor: Given = given("ratio", 0.4, "S3, S6: cyclic duration factor, share of the time at work", high=1.0)
