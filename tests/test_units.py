"""Reading is strict and quick, independent of the unit typed; printing is short.

Sizes of units are from NIST Special Publication 811, appendix B (M: from memory), or exact by definition:
inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s2, one turn a minute pi / 30 rad/s.
"""

import math
import re
import subprocess
import sys
import time
from decimal import Decimal

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaling.ground.units import QUANTITY_KINDS, Q, is_quantity, quantity, read, registry, show

PINT = registry().Quantity
OTHER = pint.UnitRegistry().Quantity
ALL_KINDS = st.sampled_from(sorted(QUANTITY_KINDS))


def cells(table):
    """Return (first, second, text) for each text of a table with rows: first | second | text | text ..."""
    rows = [line.split(" | ") for line in table.strip().splitlines()]
    return [(first, second, text) for first, second, *texts in rows for text in texts]


# Refusing

REFUSED_TEXTS = """
length | decimal point | 3,5 mm | 1,000 mm | 3,5
length | not one number | 9**9**7 mm | 20 mm**9**9 | 20 mm^99 | 20 mm²³ | 20 ((((mm)))) | 0x20 mm | 1_000 mm
length | not one number | nan mm | inf mm | -inf mm | mm | 20 mm 5 | 20 mm + 1 mm | 20 m m | 1/2 mm
length | not one number | \uff12\uff10 mm | \u0662\u0660 mm | \u221220 mm | 20 os.system('x') | 20 mm; 1 mm
length | not finite | 1e400 mm | 1e99999999999999999999 mm
length | too small | 1e-400 mm
length | unit is missing | 20 | -1e3
length | not a known unit | 20 mmm | 20 nan | 20 __class__ | 20 metres_long | 2 m*km^9*km^9/qm^9/qm^9
length | not a unit of length | 20 MM | 20 mil | 20 s | 20 mm^2 | 20 mm*rad | 20 mm*percent | 2 m*pi | 2 m*bit
length | greater than zero | 0 mm | -20 mm | 1e-320 nm
length | plausible range 1 nm to 1 km | 0.9 nm | 1.1 km | 1e300 mm
frequency | in hertz | 3000 rpm | 314 rad/s | 50 turn/s | 50 s^-1 | 50 Bq | 50 cps | 50 rad*Hz | 50 1/s
frequency | not one number | 50 2/s
frequency | plausible range 1 mHz to 10 MHz | 20 MHz
rotational speed | turns or angle per time | 50 Hz | 50 s^-1 | 50 rad*Hz | 50 rad^2/s | 50 Bq | 50 rad
linear speed | not a unit of linear speed | 5 Hz | 5 m | 5 m*rad^2/s
temperature rise | difference | 60 degC | 60 °C | 60 degF | 60 delta_degF | 60 degR | 60 K*mm/m
temperature | on a scale | 20 delta_degC | 20 degC*m | 20 J | 20 degR
temperature | not a known unit | 20 mdegC
temperature | greater than zero | -274 degC | 0 K
torque | not an energy | 5 J | 5 mJ | 5 kWh | 5 eV | 5 cal | 5 erg | 5 W*s | 5 V*A*s | 5 N*m/rad | 5 ft_lb
torque | N*m | 5 nm
power | real power | 5 VA | 5 dBm
ratio | no unit | 40 dB | 40 percent | 0.5 mm/mm
ratio | not one number | 40 % | two | nan
ratio | greater than zero | 0 | -0.4
positive integer | whole | 2.5
positive integer | greater than zero | 0 | -2
positive integer | plausible range 1 to 1000000 | 1e7
flux density | write "1 T" | 5 kG
magnetic field strength | 79.58 A/m | 5 Oe
heat transfer coefficient | not a unit | 10 W/m^2*K | 10 W/m^2
mass | not a unit of mass | 5 lbf | 5 N
"""
ENDLESS = ("1" * 10**6, "2 " + "m*" * 10**6 + "m", "(" * 10**6)
NOT_QUANTITIES = [20, 20.0, True, None, [1], {"20 mm": 1}, b"20 mm", bytes(10**6), 1 + 2j, np.ones(3)]
NOT_NUMBERS = [True, np.True_, None, [0.4], 0.4j, b"2", np.ones(3), np.ma.masked_array([0.4], mask=[True])]
NOT_SINGLE = [1 + 2j, np.ones(3), np.ones(10**6)]
NOT_FINITE = [math.nan, math.inf, np.float64("nan"), Decimal("sNaN"), 10**400]
PER_DEGREE = registry().watt / registry().m ** 2 / registry().degC  # Pint refuses to convert it
REFUSED_OBJECTS = [
    *(("length", TypeError, "nor a quantity", value) for value in [*NOT_QUANTITIES, [0] * 10**6]),
    *(("ratio", TypeError, "real number", value) for value in NOT_NUMBERS),
    *(("positive integer", TypeError, "real number", value) for value in NOT_NUMBERS),
    *(("ratio", ValueError, "not finite", value) for value in NOT_FINITE),
    *(("length", ValueError, "not finite", PINT(value, "mm")) for value in NOT_FINITE[:3]),
    *(("length", TypeError, "real number", PINT(value, "mm")) for value in NOT_SINGLE),
    ("length", ValueError, "greater than zero", PINT(-2, "mm")),
    ("ratio", ValueError, "too small", Decimal("1e-400")),
    ("ratio", ValueError, "greater than zero", -0.4),
    ("positive integer", ValueError, "whole", 2.5),
    ("torque", ValueError, "not an energy", PINT(5, "J")),
    ("torque", ValueError, "not an energy", OTHER(5, "J")),
    ("frequency", ValueError, "in hertz", PINT(3000, "rpm")),
    ("rotational speed", ValueError, "turns or angle", PINT(50, "Hz")),
    ("rotational speed", ValueError, "turns or angle", PINT(50, "1/s")),
    ("temperature rise", ValueError, "difference", PINT(60, "degC")),
    ("heat transfer coefficient", ValueError, "not a unit", PINT(10, PER_DEGREE)),
    ("ratio", ValueError, "40 percent", PINT(40, "percent")),
    ("ratio", ValueError, "not a unit of ratio", PINT(1, "rad")),
]


def check_refusal(value, kind, error, hint, shown):
    started = time.perf_counter()
    with pytest.raises(error) as caught:
        read(value, kind, "some_field")
    assert time.perf_counter() - started < 1
    message = str(caught.value)
    assert message.startswith("some_field: got ") and hint in message
    assert message.endswith(f'e.g. "{QUANTITY_KINDS[kind].example}".') and "\n" not in message
    got = message.removeprefix("some_field: got ").split(": ")[0]
    assert len(got) <= 40 and shown in got


@pytest.mark.parametrize(("kind", "hint", "text"), cells(REFUSED_TEXTS))
def test_text_is_refused_with_field_value_and_example(text, kind, hint):
    check_refusal(text, kind, ValueError, hint, text)


@pytest.mark.parametrize("row", REFUSED_OBJECTS, ids=[str(i) for i in range(len(REFUSED_OBJECTS))])
def test_object_is_refused_with_field_value_and_example(row):
    kind, error, hint, value = row
    shown = str(value.magnitude)[:3] if is_quantity(value) else repr(value)[:6]
    check_refusal(value, kind, error, hint, shown)


@pytest.mark.parametrize("kind", QUANTITY_KINDS)
def test_empty_endless_and_unprintable_values_are_refused(kind):
    check_refusal("", kind, ValueError, "not one number", "''")
    for text in ENDLESS:
        check_refusal(text, kind, ValueError, "longer than 60 characters", text[:30])
    check_refusal(10**5000, kind, (TypeError, ValueError), "", "int")  # Python refuses to print it
    check_refusal([10**5000], kind, TypeError, "", "list")


def test_unknown_kind_is_a_key_error():
    with pytest.raises(KeyError):
        read("20 mm", "size", "x")


def test_unknown_unit_of_another_registry_is_refused():
    own = pint.UnitRegistry()
    own.define("cubit = 0.45 * meter")
    with pytest.raises(ValueError, match="'cubit' is not a known unit"):
        read(own.Quantity(2, "cubit"), "length", "x")


# Accepting

ACCEPTED_TEXTS = """
0.02 | length | 20 mm | 20mm |  +2.0e1   mm | 20000 \u00b5m | 20000 \u03bcm | 20000 um | 2.e-2 m | .02 m
0.3048 | length | 12 in | 1 ft | 1 foot
1e-9 | length | 1 nm
1e3 | length | 1 km | 1e9 \u00b5m
5e-3 | frequency | 5 mHz | 5e-6 kHz
157.0796326794897 | rotational speed | 1500 rpm | 1500 r/min | 25 rev/s | 25 turn/s | 25 revolutions/s
3.141592653589793 | rotational speed | 180 deg/s | 3.141592653589793 rad/s
10 | linear speed | 36 km/h | 10 m/s
60 | temperature rise | 60 K | 60 delta_degC | 60 Δ°C
293.15 | temperature | 20 degC | 20 °C | 68 degF | 293.15 K
273.15 | temperature | 0 degC
0.2 | torque | 200 mN*m | 0.2 N·m | 0.2 newton * meter | 0.2 kg*m^2/s^2 | 0.2 kg*m**2*s^-2
1.3558179483314004 | torque | 1 lbf*ft | 12 in*lbf
10 | heat transfer coefficient | 10 W/m^2/K | 10 W/m²/K | 10 W * m**-2 * K^-1 | 10 W/m^2/degC | 1 mW/cm^2/K
400 | thermal conductivity | 400 W/m/K | 4 W/cm/degC
0.8 | flux density | 800 mT | 0.8 Wb/m^2 | 0.8 V*s/m^2
5e3 | magnetic field strength | 5 kA/m
745.6998715822702 | power | 1 hp | 550 ft*lbf/s
0.45359237 | mass | 1 lb | 453.59237 g
5.8e7 | electrical conductivity | 58 MS/m | 58 m/ohm/mm^2
0.4 | ratio | 0.4 | 4e-1
2 | positive integer | 2 | 2.0
"""
ACCEPTED_OBJECTS = [
    (0.4, "ratio", 0.4),
    (0.5, "ratio", np.float32(0.5)),
    (0.5, "ratio", np.array(0.5)),
    (2e-3, "ratio", PINT(2, "mm") / PINT(1, "m")),
    (2, "positive integer", np.int64(2)),
    (2, "positive integer", 2.0),
    (0.02, "length", OTHER(20, "mm")),
    (0.02, "length", PINT(np.array([20.0]), "mm")),
    (0.02, "length", PINT(Decimal("20"), "mm")),
    (0.6, "torque", PINT(2, "N") * PINT(30, "cm")),
    (20, "power", PINT(2, "N*m") * PINT(10, "rad/s")),
    (20, "linear speed", PINT(2, "m") * PINT(10, "rad/s")),
    (60, "temperature rise", PINT(80, "degC") - PINT(20, "degC")),
]


@pytest.mark.parametrize(("expected", "kind", "value"), cells(ACCEPTED_TEXTS) + ACCEPTED_OBJECTS, ids=str)
def test_accepted_forms_give_si(value, kind, expected):
    result = read(value, kind, "some_field")
    assert result == pytest.approx(float(expected), rel=1e-12)
    assert type(result) is (int if kind == "positive integer" else float)


@pytest.mark.parametrize("kind", QUANTITY_KINDS.values(), ids=lambda kind: kind.name)
def test_each_kind_reads_its_own_example_and_limits(kind):
    assert kind.low < read(kind.example, kind.name, "x") < kind.high
    for limit in (kind.low, kind.high):
        for text in (f"{limit!r} {kind.unit}", show(quantity(limit, kind.unit), digits=15)):
            assert read(text, kind.name, "x") == pytest.approx(limit, rel=1e-12)
    for beyond in (kind.low * 0.999, kind.high * 1.001):
        with pytest.raises(ValueError, match="plausible range"):
            read(f"{beyond!r} {kind.unit}", kind.name, "x")


def test_zero_only_where_allowed_and_never_negative():
    for text, kind in {"0 mm": "length", "-0.0 rpm": "rotational speed", "0": "positive integer"}.items():
        result = read(text, kind, "x", zero_allowed=True)
        assert result == 0 and math.copysign(1, result) == 1
    with pytest.raises(ValueError, match="must not be negative"):
        read("-1 mm", "length", "x", zero_allowed=True)
    for text in ("1e-400 mm", "1e-320 nm"):  # not zero, though a float cannot tell
        with pytest.raises(ValueError, match="too small|plausible range"):
            read(text, "length", "x", zero_allowed=True)
    with pytest.raises(ValueError, match="plausible range"):
        read("0 K", "temperature", "x", zero_allowed=True)


SAME = {  # each unit's size in SI
    "length": {"m": 1, "mm": 1e-3, "um": 1e-6, "km": 1e3, "inch": 0.0254, "ft": 0.3048, "mile": 1609.344},
    "rotational speed": {"rad/s": 1, "rpm": math.pi / 30, "deg/s": math.pi / 180, "turn/s": 2 * math.pi},
    "torque": {"N*m": 1, "mN*m": 1e-3, "N*mm": 1e-3, "kN*cm": 10, "dyn*cm": 1e-7, "kgf*cm": 0.0980665},
    "mass": {"kg": 1, "g": 1e-3, "mg": 1e-6, "tonne": 1e3, "lb": 0.45359237},
    "heat transfer coefficient": {"W/m^2/K": 1, "mW/cm^2/K": 10, "kW/m²/delta_degC": 1e3},
}


@pytest.mark.parametrize("kind", SAME)
@given(size=st.floats(1e-2, 1e2))
def test_si_value_does_not_depend_on_the_unit_typed(kind, size):
    for unit, factor in SAME[kind].items():
        typed = size / factor
        for value in (f"{typed!r} {unit}", Q(typed, unit), PINT(typed, unit), OTHER(typed, unit)):
            assert read(value, kind, "x") == pytest.approx(size, rel=1e-12)


# Whatever comes

WORDS = "m mm rad s Hz rpm N J degC K W T kg in dB e pi nan NAN r delta_degC Q q k lambda __class__ percent A V"
SIGNS = "3 0.5 - + 1e 1e-3 , . _ * ** ^ / · ² ( ) % ° 9 \u00b5 \uff13 \x00"
PIECES = st.sampled_from([" ", "\n", *WORDS.split(), *SIGNS.split(" ")])
TEXTS = st.text() | st.lists(PIECES, max_size=12).map("".join)
UNITS = st.lists(st.tuples(PIECES, st.sampled_from(["*", "/", "^2*", "^-1/"])), min_size=1).map(
    lambda pairs: "".join(map("".join, pairs)).rstrip("*/")
)
ODD = st.none() | st.booleans() | st.integers() | st.floats() | st.complex_numbers() | st.binary() | st.decimals()
OBJECTS = ODD | st.lists(ODD) | st.dictionaries(st.integers(), ODD)


@settings(max_examples=500, deadline=1000)
@given(value=TEXTS | UNITS.map("2 {}".format) | OBJECTS, kind=ALL_KINDS, zero=st.booleans())
def test_whatever_is_read_is_refused_or_gives_a_number_in_range(value, kind, zero):
    try:
        result = read(value, kind, "some_field", zero_allowed=zero)
    except (TypeError, ValueError) as error:
        assert str(error).startswith("some_field: got ")
    else:
        assert (zero and result == 0) or QUANTITY_KINDS[kind].low * 0.999 < result < QUANTITY_KINDS[kind].high * 1.001


@settings(max_examples=300, deadline=1000)
@given(arguments=st.tuples(TEXTS | OBJECTS) | st.tuples(st.just(1.5), UNITS | OBJECTS))
def test_whatever_is_given_to_q_is_refused_or_gives_a_printable_quantity(arguments):
    try:
        result = Q(*arguments)
    except (TypeError, ValueError) as error:
        assert str(error).startswith("Q: got ")
    else:
        assert math.isfinite(result.magnitude) and isinstance(show(result), str)


# Making and printing


@given(
    size=st.floats(-1e9, 1e9),
    unit=st.sampled_from(["mm", "N*m", "W/m^2/K", "degC", "rpm", "kA/m", "rev/min"]),
)
def test_q_round_trips(size, unit):
    made = Q(size, unit)
    assert made.magnitude == size and is_quantity(made)
    for again in (Q(f"{size!r} {unit}"), Q(made), Q(str(made))):  # Pint's long form is within the grammar
        assert again == made and again.units == made.units and again is not made


def test_q_copies_arrays_and_keeps_the_unit():
    sizes = np.array([1, 2, 3])
    made = Q(sizes, "mm")
    sizes[0] = 99
    assert made.magnitude.tolist() == [1, 2, 3] and f"{made.units:~P}" == "mm"
    assert Q(Q([1, 2.5], "mm")).magnitude.tolist() == [1, 2.5]
    assert (Q(OTHER([1.0, 2.0], "mm")) + Q("1 mm")).magnitude.tolist() == [2, 3]


MASKED = np.ma.masked_array([1.0])
NOT_REAL = [True, 1j, None, [1, True], ["1"], [Q("1 m"), Q("2 m")], np.array(["1"]), np.array([True]), MASKED]
REFUSED_BY_Q = [
    *((TypeError, (value,)) for value in (3, None, [1, 2], np.ones(2), b"3 mm")),
    *((TypeError, (value, "mm")) for value in ("3 mm", Q("3 mm"), *NOT_REAL)),
    *((TypeError, (3, unit)) for unit in (4, b"mm", ["mm"], Q("3 mm"))),
    *((ValueError, (value, "mm")) for value in (math.nan, [1.0, math.inf], np.array([1.0, math.nan]))),
    *((ValueError, (3, unit)) for unit in ("mmm", "2 mm", "", "m*" * 10**6, "mm**9**9")),
    *((ValueError, (text,)) for text in ("3,5 mm", "3", "nan mm", "3 mmm", "3 mm" * 10**6)),
]


@pytest.mark.parametrize("row", REFUSED_BY_Q, ids=[str(i) for i in range(len(REFUSED_BY_Q))])
def test_q_refuses(row):
    error, arguments = row
    with pytest.raises(error, match=r'^Q: got .*"20 mm"\.$'):
        Q(*arguments)


SHOWN = """
0.00002 | m | 20 \u00b5m
0.0009 | m | 0.9 mm
0.00099999 | m | 1 mm
0.11 | m | 110 mm
1.5 | m | 1.5 m
1500 | m | 1.5 km
0.30000000000000004 | m | 300 mm
20 | mm | 20 mm
1e-20 | m | 1e-05 fm
0.213412 | N*m | 0.2134 N·m
-0.0213412 | N*m | -21.34 mN·m
2e6 | N*m | 2 MN·m
314.1592653589793 | rad/s | 3000 rpm
12345.6 | rpm | 12350 rpm
60 | K | 60 K
20 | degC | 20 °C
25e3 | W/m^2/K | 25 kW/m²/K
58e6 | S/m | 58 MS/m
7850 | kg/m^3 | 7850 kg/m³
2e-6 | kg | 2 mg
2e4 | kg | 20000 kg
3 | inch | 3 in
2e-4 | m^2 | 0.0002 m²
0.4 | dimensionless | 0.4
0 | W | 0 W
nan | W | nan W
inf | W | inf W
"""


@pytest.mark.parametrize(("value", "unit", "text"), cells(SHOWN))
def test_show_is_short(value, unit, text):
    assert show(quantity(float(value), unit)) == text


def test_show_in_a_given_unit_and_of_arrays():
    assert show(quantity(0.213412, "N*m"), "mN*m", digits=2) == "210 mN·m"
    assert show(Q("2 N*m") * Q("3000 rpm"), "W") == "628.3 W"
    assert show(OTHER(1, "inch"), "mm") == "25.4 mm"
    assert show(quantity(np.array([0.001, 0.02, 0.3]), "m")) == "1, 20, 300 mm"


def test_show_refuses_what_the_unit_cannot_state():
    for other in ("Hz", "mm", "mmm", "2 rpm"):
        with pytest.raises(ValueError, match=f"^show: got '{re.escape(other)}'"):
            show(Q("3000 rpm"), other)
    with pytest.raises(ValueError, match="cannot state"):
        show(Q("50 Hz"), "rpm")
    with pytest.raises(TypeError, match="^show: got 3: not a quantity"):
        show(3)


@given(size=st.floats(1e-8, 1e2))
def test_shown_length_reads_back_to_its_digits(size):
    assert read(show(quantity(size, "m")), "length", "x") == pytest.approx(size, rel=5.1e-4)


def test_pint_is_loaded_on_first_use_only():
    program = (
        "import sys; from scaling.ground import units; assert 'pint' not in sys.modules\n"
        "assert not units.is_quantity(3) and 'pint' not in sys.modules\n"
        "assert units.read('20 mm', 'length', 'x') == 0.02 and 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True, timeout=60)
