"""Fields of a brief on the winding: the voltage it is for, and how its phases are connected.

They change no choice of type: a design is rewound to any voltage. `scaling.decision.windings` reads them.
"""

from dataclasses import dataclass, fields

from scaling.decision.fields import given, one_of
from scaling.ground.units import Given
from scaling.ground.wires import SERIES


@dataclass(frozen=True, kw_only=True)
class Electrical:
    """Voltage and connection; see `scaling.decision.brief.Brief`."""

    voltage: Given = given(
        "voltage",
        None,
        "rms voltage between lines, of a drive the largest it gives; for turns, wire and currents by "
        "`scaling.decision.windings.winding`. No choice depends on it",
        optional=True,
    )
    connection: str = one_of(
        "star", ("star", "delta", "best"), "of the three phases; best: what suits whole conductors"
    )
    parallel_paths: Given = given(
        "positive integer",
        None,
        "parallel paths of a phase, a divisor of what the poles permit; if not given the fewest that suit",
        high=200,
        optional=True,
    )
    winding_layers: Given = given(
        "positive integer",
        1,
        "coil sides in a slot: 1, any whole number of conductors; 2, even numbers, and as many paths as poles",
        high=2,
    )
    voltage_tolerance: Given = given(
        "ratio",
        0.05,
        "furthest that the voltage which whole conductors want may lie from the one given; IEC 60034-1 has motors bear "
        "5 % for ever (zone A, from memory)",
        high=0.5,
    )
    wire_series: str = one_of(
        "R40", tuple(SERIES), "preferred numbers (ISO 3) of the wires' diameters that can be had, in mm"
    )


ELECTRICAL = frozenset(f.name for f in fields(Electrical))
