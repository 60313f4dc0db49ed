"""How an engineer writes: spellings of units are read as what they mean, what has two meanings is told with both.

Sizes of units: kilogram-force 9.80665 N, pound-force 4.4482216152605 N, ounce-force a sixteenth of it, inch 25.4 mm,
metric horsepower 75 kgf*m/s, all exact by definition (NIST Special Publication 811, from memory); everything else here
is behaviour.
"""

import contextlib
import itertools
import math
import re
import time

import pint
import pytest
from briefs import brief
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from scaling.decision.figures import FIGURES
from scaling.ground import spellings
from scaling.ground.units import QUANTITY_KINDS, Q, quantity, read, registry, show

KGF, LBF, INCH = 9.80665, 4.4482216152605, 0.0254


def cells(table):
    """Return (first, second, text) for each text of a table with rows: first | second | text | text ..."""
    rows = [line.split(" | ") for line in table.strip().splitlines()]
    return [(first, second, text) for first, second, *texts in rows for text in texts]


# Spellings of one unit; the first is the one that was always read

SPELLINGS = """
rotational speed | rpm | min^-1 | 1/min | /min | min⁻¹ | min-1 | min^(-1) | r/min | rev/min | RPM | Rpm | r.p.m.
rotational speed | rpm | U/min | tr/min | rev / min | turn/min | min**-1
temperature | degC | C | °C | ° C | deg C | deg. C | degree C | degrees C | degrees Celsius | Celsius | ℃ | ºC
temperature | degF | F | °F | deg F | ℉ | degrees Fahrenheit
temperature rise | K | Kelvin | kelvin | delta_degC | Δ°C
torque | N*m | Nm | N m | N·m | N×m | N.m | N-m | N⋅m | N\u00a0m | N\u202fm | N * m | N•m
torque | mN*m | mNm | mN m | mN·m | mN-m
torque | N*cm | Ncm | N cm | N.cm
torque | N*mm | Nmm | N mm
torque | uN*m | µNm | μNm | uNm | µN m | μN·m | uN-m
torque | kN*m | kNm | kN m
torque | kgf*cm | kgf cm | kp*cm | kp cm | kgf.cm | kgfcm | kpcm
torque | kgf*m | kp*m | kp m | kgf m | kpm
torque | gf*cm | gf cm | gf-cm
torque | ozf*in | ozf in | in ozf | ozf-in | ozf·in
torque | lbf*ft | lbf ft | ft lbf | ft-lbf | lbf-ft | ft*lbf
torque | lbf*in | lbf in | in lbf | in-lbf
power | kW | KW
power | hp | HP
power | metric_horsepower | PS | metric hp | metric horsepower | CV | hp(M) | hp (metric)
length | inch | in | " | in. | ″ | inches
length | um | µm | μm | micron | microns
length | thou | th
length | mm | \u00a0mm | mm\u2009
heat transfer coefficient | W/m^2/K | W/m2K | W/(m²K) | W/(m² K) | W/(m²·K) | W/(m^2*K) | W/m²K | W/m2/K | W/m² K
heat transfer coefficient | W/m^2/K | W/(m2.K) | W·m⁻²·K⁻¹ | W m^-2 K^-1
heat transfer coefficient | W/m^2/K | W m-2 K-1 | W/m**2/K | W/m²°C | W/(m² °C) | W/m2/degC
thermal conductivity | W/m/K | W/mK | W/(mK) | W/(m K) | W/(m·K) | W/m K
viscosity | mPa*s | mPa s | mPas | mPa·s | mPa.s | cP
pressure | N/mm^2 | N/mm2 | N/mm² | MPa
flux density | T | Tesla | tesla
electrical conductivity | m/ohm/mm^2 | m/(Ω mm²) | m/(ohm*mm2)
"""


def agree(kind, canonical, unit, number):
    """Check that a number with a unit, in several ways to set them apart, reads as with the canonical unit."""
    expected = read(f"{number!r} {canonical}", kind, "x")
    for between in (" ", "", "\u00a0", "\u202f", "  "):
        if between.strip() or not unit.startswith("1/"):  # where a blank is due before another figure
            assert read(f"{number!r}{between}{unit}", kind, "x") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("kind", "canonical", "unit"), cells(SPELLINGS), ids=lambda text: ascii(text))
def test_a_spelling_is_the_unit(kind, canonical, unit):
    for number in (20.5, 90.0):
        agree(kind, canonical, unit, number)


ROWS = st.sampled_from(cells(SPELLINGS))


@settings(max_examples=150)
@given(row=ROWS, number=st.floats(1.5, 90.0))
def test_a_spelling_is_the_unit_at_every_number(row, number):
    kind, canonical, unit = row
    agree(kind, canonical, unit, number if not number.is_integer() else number + 0.5)


def test_spellings_have_the_size_of_their_definition():
    torques = {
        "kgf cm": KGF / 100,
        "kp m": KGF,
        "ozf in": LBF / 16 * INCH,
        "lbf ft": LBF * 12 * INCH,
        "gf cm": KGF / 1e5,
    }
    for unit, size in torques.items():
        assert read(f"1 {unit}", "torque", "x") == pytest.approx(size, rel=1e-12)
    assert read("1 PS", "power", "x") == pytest.approx(75 * KGF, rel=1e-12)
    assert read("1 hp", "power", "x") == pytest.approx(550 * 12 * INCH * LBF, rel=1e-12)
    assert read("3000 1/min", "rotational speed", "x") == pytest.approx(100 * math.pi, rel=1e-12)
    assert read('0.5"', "length", "x") == pytest.approx(0.0127, rel=1e-12)
    assert read("2 thou", "length", "x") == pytest.approx(5.08e-5, rel=1e-12)
    assert read("40 C", "temperature", "x") == pytest.approx(313.15, rel=1e-12)
    assert read("-40 F", "temperature", "x") == pytest.approx(233.15, rel=1e-12)


POWERS = st.sampled_from(["^{}", "**{}", " ^ {}", "^({})"])
TIMES = st.sampled_from(["*", "·", "⋅", "×", " * ", "•", "∙"])
OVER = st.sampled_from(["/", " / ", "/ "])
RAISED = str.maketrans("-123", "⁻¹²³")


@st.composite
def written(draw, canonical):
    """Return a unit of names, powers, * and / with each sign in one of its forms."""
    text = ""
    for part in re.findall(r"[*/]|[A-Za-z_]+(?:\^-?[1-9])?", canonical):
        name, _, power = part.partition("^")
        if part in "*/":
            text += draw(TIMES if part == "*" else OVER)
        elif not power:
            text += name
        else:
            plain = [power.translate(RAISED), power]
            text += name + draw(POWERS.map(lambda form, p=power: form.format(p)) | st.sampled_from(plain))
    return text


CANONICAL = [
    *(("heat transfer coefficient", unit) for unit in ("W/m^2/K", "W*m^-2*K^-1", "kW/m^2/delta_degC", "mW/cm^2/K")),
    *(("torque", unit) for unit in ("N*m", "kg*m^2/s^2", "kg*m^2*s^-2", "lbf*ft", "kN*mm")),
    *(("electrical conductivity", unit) for unit in ("MS/m", "m/ohm/mm^2")),
    *(("pressure", unit) for unit in ("N/mm^2", "kg*m^-1*s^-2")),
    *(("rotational speed", unit) for unit in ("rad/s", "rad*s^-1", "turn/min", "turn*min^-1")),
]


@settings(max_examples=200)
@given(data=st.data(), row=st.sampled_from(CANONICAL), number=st.floats(1.0, 90.0))
def test_signs_of_products_and_powers_do_not_matter(data, row, number):
    kind, canonical = row
    unit = data.draw(written(canonical))
    assert read(f"{number!r} {unit}", kind, "x") == pytest.approx(read(f"{number!r} {canonical}", kind, "x"), rel=1e-12)
    assert Q(number, unit) == Q(f"{number!r} {unit}") == Q(f"{number!r} {canonical}")


# What Pint calls otherwise is known

TAKEN_FROM_PINT = {  # spellings that Pint alone reads as something else: a number of threads, a plural of the pascal
    *(f"{prefix}Nm" for prefix in ("", "n", "u", "µ", "μ", "m", "c", "k", "M")),
    *(f"{prefix}Pas" for prefix in ("", "u", "µ", "μ", "m", "k", "M")),
}


def test_no_spelling_hides_a_unit_but_those_known():
    hidden = set()
    for typed, product in spellings.PRODUCTS.items():
        if typed.isalpha():
            with contextlib.suppress(pint.UndefinedUnitError):
                if registry().parse_units(typed) != registry().parse_units(product):
                    hidden.add(typed)
    assert hidden == TAKEN_FROM_PINT


def test_every_name_of_pint_means_without_a_kind_what_it_means_to_pint():
    names = [name for name in dir(registry()) if spellings.UNIT.fullmatch(name) and not name.startswith("_")]
    known = [name for name in names if name in registry() and name not in TAKEN_FROM_PINT]
    assert len(known) > 500
    for name in known:
        assert registry().parse_units(spellings.spelled(name)) == registry().parse_units(name), name


# What has two meanings, or none

TWO_MEANINGS = """
torque | 5 ozf*in | 5 oz in | 5 oz*in | 5 oz-in | 5 ozin | 5 in oz | 5 in-oz
torque | 5 lbf*ft | 5 lb ft | 5 lb-ft | 5 lb*ft | 5 lbft | 5 ft lb | 5 ft-lb | 5 ft*lb | 5 lbs ft
torque | 5 lbf*in | 5 in lb | 5 in-lb | 5 lb in
torque | 5 kgf*cm | 5 kg cm | 5 kg*cm | 5 kgcm | 5 kg-cm
torque | 5 gf*cm | 5 g*cm | 5 g cm
torque | a mass or a force | 5 oz in | 5 lb ft | 5 kg*m
torque | 5 Nm | 5 nm | 5 NM | 5 nM
length | 20 thou" or "20 mm | 20 mil | 20 mils
length | 20 mm | 20 MM | 20 Mm
length | gap | 1 500 mm | 1'500 mm | 1\u00a0500 mm | 1\u202f500\u00a0mm
length | decimal point | 3,5 mm | 3,5\u00a0mm | 1.500,5 mm
length | 5e-3 | 5×10^-3 m | 5 x 10^-3 m | 5·10⁻³ m | 5*10**-3 m
rotational speed | 50 turn/s" or "50 rad/s | 50 1/s | 50 s^-1 | 50 s⁻¹ | 50/s | 50 s-1
frequency | 50 Hz | 50 1/s | 50 s^-1 | 50 hz | 50 HZ
frequency | 5 mHz" or "5 MHz | 5 Mhz
temperature rise | rise by 60 degrees is "60 K" | 60 C | 60 °C | 60 degC | 60 deg C | 60 Celsius
temperature | 40 C | 40 c
power | 5 kW | 5 kVA | 5 kV*A | 5 kw | 5 kva
power | 5 mW" or "5 MW | 5 mw
heat transfer coefficient | 10 W/m^2/K | 10 W/m^2*K | 10 W/m²·K | 10 W/m2C
thermal conductivity | 10 W/m/K | 10 W/m*K | 10 W/m·K
pressure | 80 kPa | 80 kpa | 80 KPa
"""


@pytest.mark.parametrize(("kind", "told", "text"), cells(TWO_MEANINGS), ids=ascii)
def test_what_may_mean_two_things_is_refused_with_both(kind, told, text):
    with pytest.raises(ValueError, match="^some_field: got ") as caught:
        read(text, kind, "some_field")
    assert told in str(caught.value) and str(caught.value).endswith(f'e.g. "{QUANTITY_KINDS[kind].example}".')


@pytest.mark.parametrize("text", ["15001/min", "1/min", "11/min", "1e31/min"])
def test_a_blank_that_may_be_lost_before_a_figure_is_not_guessed(text):
    with pytest.raises(ValueError, match="whose blank is lost: write rpm"):
        read(text, "rotational speed", "speed")
    assert read("1500/min", "rotational speed", "speed") == pytest.approx(read("1500 rpm", "rotational speed", "speed"))


def test_what_is_said_to_be_meant_is_read():
    offered = [
        (kind, one)
        for kind, _, text in cells(TWO_MEANINGS)
        for one in re.findall('"(.+?)"', spellings.meant(text, kind))
    ]
    assert len(offered) > 50
    for kind, one in offered:
        assert QUANTITY_KINDS[kind].low < read(one, kind, "x") < QUANTITY_KINDS[kind].high


OTHER_KINDS = """
torque | 5 W/m2K | 5 min^-1 | 5 C | 5 PS | 5 Pas
length | 20 C | 20 Nm | 20 mm2 | 20 mm² | 20 m-1 | 20 1/mm
temperature | 40 Nm | 40 " | 40 Δ°C
power | 5 Nm | 5 C | 5 GS
pressure | 80 kPas | 80 kPa s
mass | 2 kg m2 | 2 kgm²
frequency | 50 min^-1 | 50 1/min
heat transfer coefficient | 10 W/mK | 10 W/m2 | 10 W/(m²K)K
"""
UNREADABLE = [
    "W/((m²K))",
    "W/(m²/K)",
    "W/(m²",
    "W/m²)",
    "(W)",
    "m m",
    "N m m",
    "mm mm",
    "1/1/m",
    "1/(m)",
    "2/m",
    "m^-",
    "m^22",
]
UNREADABLE += [
    "m⁻",
    "m²³",
    "m2^2",
    "mm²2",
    "N..m",
    "N--m",
    "N.m.",
    ".m",
    "m*",
    "*m",
    "N**m",
    '""',
    '"mm',
    "m-9",
    "°°C",
    "min^-1^-1",
]


@pytest.mark.parametrize(
    ("kind", "text"),
    [(row.split(" | ")[0], t) for row in OTHER_KINDS.strip().splitlines() for t in row.split(" | ")[1:]],
    ids=ascii,
)
def test_a_spelling_of_another_kind_is_refused(kind, text):
    with pytest.raises(ValueError, match="^x: got "):
        read(text, kind, "x")


@pytest.mark.parametrize("unit", UNREADABLE, ids=ascii)
def test_what_is_no_unit_stays_refused(unit):
    for kind in QUANTITY_KINDS:
        with pytest.raises(ValueError, match="^x: got "):
            read(f"20 {unit}", kind, "x")
    with pytest.raises(ValueError, match="^Q: got "):
        Q(20, unit)


NESTED = [
    "(" * 57,
    "/(" * 28,
    "W/(" + "m^2*" * 13 + "K)",
    "1/" * 28,
    "^(-" * 19,
    "deg " * 14,
    "²" * 57,
    "N m " * 14,
    "° " * 28,
]
NESTED += ["min^" * 14, "a-1" * 19, "a.a" * 19, "- " * 28, "1e3" * 19, " " * 57, "*10^" * 14]


def test_long_and_nested_texts_are_refused_at_once():
    started = time.perf_counter()
    for text, kind in itertools.product(
        NESTED, ("rotational speed", "torque", "temperature", "heat transfer coefficient")
    ):
        for typed in (f"20 {text}", text, f"20 {text * 10**4}"):
            with pytest.raises(ValueError, match="^x: got "):
                read(typed, kind, "x")
    assert time.perf_counter() - started < 1


# What is printed is read

PRINTED = {kind.name: kind for kind in QUANTITY_KINDS.values() if kind.unit}


@settings(max_examples=200)
@given(kind=st.sampled_from(sorted(PRINTED)), place=st.floats(0.01, 0.99), digits=st.integers(3, 15))
def test_what_show_prints_reads_back(kind, place, digits):
    kind = PRINTED[kind]
    value = math.exp(math.log(kind.low) + place * math.log(kind.high / kind.low))
    text = show(quantity(value, kind.unit), digits=digits)
    assert read(text, kind.name, "x") == pytest.approx(value, rel=0.6 * 10.0 ** (1 - digits))


def test_every_unit_of_a_figure_reads_back_as_it_is_printed():
    for unit in {figure.unit for figure in FIGURES.values()} | {
        "A/mm**2",
        "1/s",
        "deg",
        "degC",
        "delta_degC",
        "kg*m**2",
        "psi",
    }:
        if unit:
            made = quantity(1234.5, unit)
            again = Q(show(made, digits=9))
            assert again.m_as(made.units) == pytest.approx(1234.5, rel=1e-8), unit


# In a brief


def test_a_brief_reads_what_is_written_on_nameplates_and_in_catalogues():
    typed = brief(
        rotor_diameter='2"', gap_floor="0.3\u00a0mm", speed="1450 min⁻¹", torque="20 kgf cm", power="0.5 PS",
        ambient="40 C", cooling="ic411", medium_conductivity="0.5 W/(m·K)", lubricant_viscosity="20 mPas",
        flange_conductance="1000 W/(m²K)", temperature_rise="80 Kelvin", tooth_field_limit="1.8 Tesla",
    )  # fmt: skip
    plain = brief(
        rotor_diameter="50.8 mm", gap_floor="300 um", speed="1450 rpm", torque="20 kgf*cm", power="367.749375 W",
        ambient="313.15 K", cooling="IC 411", medium_conductivity="0.5 W/m/K", lubricant_viscosity="20 mPa*s",
        flange_conductance="1000 W/m^2/K", temperature_rise="80 K", tooth_field_limit="1.8 T",
    )  # fmt: skip
    for name, value in vars(plain.si).items():
        got = getattr(typed.si, name)
        assert got == pytest.approx(value, rel=1e-12) if isinstance(value, (float, tuple)) else got == value, name


@pytest.mark.parametrize("code", ["IC411", "ic 411", "IC 411", "IC-411", "Ic_411", "IC\u00a0411", " ic411 "])
def test_a_code_of_cooling_is_read_as_it_is_written(code):
    assert brief(cooling=code).si.cooling == "shaft fan" and brief(cooling=code).si.fin_factor == 2.0


def test_spreads_are_written_as_single_values_are():
    made = brief(ambient="40 C ± 5 K", gap_floor='0.01" ± 5 thou', speed=("1400 1/min", "1500 min^-1"))
    assert made.uncertainties["ambient"].median == pytest.approx(313.15)
    assert made.uncertainties["gap_floor"].deviation == pytest.approx(6.35e-5)
    assert made.si.speed == pytest.approx((1400 * math.pi / 30, 1500 * math.pi / 30))
    given_ = brief(ambient=(stats.norm(40, 2), "C")).uncertainties["ambient"]
    assert given_.median == pytest.approx(313.15) and given_.ppf(0.5) == pytest.approx(313.15)
    for typed in ("40 C ± 5 C", "40 °C ± 5 °C"):
        with pytest.raises(ValueError, match='its spread, .*5 degrees is "5 K"'):
            brief(ambient=typed)
    with pytest.raises(ValueError, match='expected at least 150 K; "40 degC" may be meant$'):
        brief(ambient="40 K")
