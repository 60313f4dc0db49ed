"""Property tests: whatever comes is refused or answered, in whatever units it was typed; the record itself.

The inch is 25.4 mm by definition; everything else here is behaviour, with no outside source.
"""

import dataclasses
import math
import re

import pytest
from briefs import FIELDS, TWO_VALUES, brief
from hypothesis import given, settings
from hypothesis import strategies as st

from scaling import Brief, Q, choose

REMEDY = re.compile("expected|Give |give ")

# Whatever comes


def magnitudes(low, high, unit=""):
    """Return texts (numbers where there is no unit) spread evenly over the decades."""
    numbers = st.floats(math.log10(low), math.log10(high)).map(lambda x: 10.0**x)
    return numbers.map(lambda x: min(max(x, low), high)) if not unit else numbers.map(lambda x: f"{x!r} {unit}")


HERTZ, TURNS = magnitudes(0.1, 1e4, "Hz"), magnitudes(1, 1e5, "rpm")
PLAUSIBLE = {
    "active_length": magnitudes(1e-4, 10, "m"),
    "gap_floor": magnitudes(1, 1e3, "um"),
    "gap_ratio": magnitudes(1e-4, 0.2),
    "supply_frequency": HERTZ | HERTZ | st.tuples(HERTZ, HERTZ),
    "speed": TURNS | st.tuples(TURNS, TURNS),
    "speed_tolerance": magnitudes(1e-3, 1),
    "torque": magnitudes(1e-9, 1e4, "N*m"),
    "starting_torque": magnitudes(1e-9, 1e4, "N*m"),
    "cooling": st.sampled_from(["still air", "shaft fan", "forced air", "water", "conduction"])
    | magnitudes(1, 1e4, "W/m^2/K"),
    "ambient": st.floats(-60, 150).map("{!r} degC".format),
    "temperature_rise": magnitudes(0.1, 300, "K"),
    "coolant_speed": magnitudes(0.01, 100, "m/s"),
    "gap_field_limit": magnitudes(0.05, 2, "T"),
    "yoke_field_limit": magnitudes(0.05, 2, "T"),
    "slot_fill": magnitudes(0.04, 0.9),
    "slot_depth_ratio": magnitudes(0.01, 0.3),
    "rotor_depth_ratio": magnitudes(0.01, 0.4),
    "slip_limit": magnitudes(1e-3, 0.99),
    "pole_pairs": st.integers(1, 200),
    "slot_pitch_floor": magnitudes(1, 1e3, "um"),
    "rim_speed_limit": magnitudes(1, 1e3, "m/s"),
    "bearing_friction": st.just(0) | magnitudes(1e-4, 1),
    "load_inertia_ratio": st.just(0) | magnitudes(1e-2, 1e3),
    "conductor": st.sampled_from(["copper", "aluminium", "brass"]),
    "rotor_material": st.sampled_from(["best", "aluminium", "cast iron", "36 % cobalt steel", "cast AlNiCo 8"]),
    "self_starting": st.booleans(),
    "synchronous": st.booleans(),
    "magnets_allowed": st.booleans(),
}
FIGURES = ("starting_torque", "breakdown_torque", "gap_field_peak", "current_density_rms", "heat_flux", "slip")
QUICK_MERITS = st.sampled_from(["torque per volume", "torque per mass", "power per volume"])


@settings(max_examples=50)
@given(
    given_=st.fixed_dictionaries({"rotor_diameter": magnitudes(1e-4, 10, "m")}, optional=PLAUSIBLE),
    merit=QUICK_MERITS,
)
def test_random_plausible_briefs_are_refused_or_answered(given_, merit):
    try:
        made = Brief(**given_)
    except (TypeError, ValueError) as error:
        assert re.match(r"(?:[a-z_]+): (?:got|a gap of) ", str(error)) and REMEDY.search(str(error))
        return
    choice = choose(made, merit)
    for kind, design in choice.designs.items():
        assert design.feasible or design.reasons
        if design.feasible:
            assert math.isfinite(design.merit) and design.merit > 0 and 0 < design.efficiency < 1
            assert all(math.isfinite(design.values[name]) for name in FIGURES), (kind, design.values)
            in_teeth = made.si.tooth_field_limit * made.si.tooth_share * made.si.stacking_factor
            flat = 4 / math.pi if kind == "magnet" else 1.0  # fundamental of a flat field no part of which is stronger
            allowed = min(made.si.gap_field_limit or math.inf, in_teeth * flat)
            assert design.gap_field_peak.m <= allowed * (1 + 1e-6)
            assert design.heat_flux.m <= design.heat_coefficient.m * made.si.temperature_rise * (1 + 1e-4)
    assert list(choice.ranking) == sorted(choice.ranking, key=lambda kind: -choice[kind].merit)


GARBAGE = st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.binary() | st.complex_numbers()


@settings(max_examples=300)
@given(field=st.sampled_from(FIELDS), value=GARBAGE | st.lists(GARBAGE) | st.floats().map("{!r} mm".format))
def test_whatever_a_field_is_given_is_refused_by_its_name_or_read(field, value):
    try:
        made = brief(**{field: value})
    except (TypeError, ValueError) as error:
        # What fits alone may contradict another field, whose name then stands first.
        assert re.match(rf"(?:{field}|slot_fill|outside_ratio|gap_floor): ", str(error)) and REMEDY.search(str(error))
    else:
        assert isinstance(choose(made).reason, str)


LENGTH = {"m": 1, "mm": 1e-3, "um": 1e-6, "inch": 0.0254, "km": 1e3}
TYPED = {  # field: unit and its size in SI
    "rotor_diameter": LENGTH,
    "active_length": LENGTH,
    "gap_floor": LENGTH,
    "supply_frequency": {"Hz": 1, "kHz": 1e3, "mHz": 1e-3},
    "torque": {"N*m": 1, "mN*m": 1e-3, "N·mm": 1e-3},
    "temperature_rise": {"K": 1, "delta_degC": 1, "mK": 1e-3},
}
MIDDLE = st.floats(-0.5, 0.5).map(lambda x: 10.0**x)  # a decade around the middle


@settings(max_examples=8)
@given(d=MIDDLE, ratio=MIDDLE, g=MIDDLE, f=MIDDLE, rise=MIDDLE, data=st.data())
def test_the_answer_does_not_depend_on_the_units_typed(d, ratio, g, f, rise, data):
    size = 0.02 * d
    si = {"rotor_diameter": size, "active_length": size * ratio, "gap_floor": 5e-5 * g, "supply_frequency": 50 * f}
    si |= {"torque": 1e-4 * d**4, "temperature_rise": 60 * rise}
    plain = choose(Brief(**{name: f"{x!r} {next(iter(TYPED[name]))}" for name, x in si.items()}))
    typed = {}
    for name, value in si.items():
        unit = data.draw(st.sampled_from(list(TYPED[name])), label=name)
        number = value / TYPED[name][unit]
        typed[name] = Q(number, unit) if data.draw(st.booleans()) else f"{number!r} {unit}"
    other = choose(Brief(**typed))
    assert other.ranking == plain.ranking
    for kind in plain.designs:
        assert other[kind].merit == pytest.approx(plain[kind].merit, rel=1e-9, nan_ok=True)


# The record itself


def test_describe_lists_every_field_with_its_default():
    table = Brief.describe()
    rows = {re.match(r"\| `(\w+)` \| (.+?) \| .{10,} \|$", line).groups() for line in table.splitlines() if "`" in line}
    assert rows == {
        (f.name, "required" if f.name == "rotor_diameter" else str(f.default))
        for f in dataclasses.fields(Brief)
        if f.init
    }


@pytest.mark.parametrize("field", FIELDS)
def test_replace_gives_the_brief_as_if_typed_anew(field):
    _, second, base = TWO_VALUES[field]
    typed = {"rotor_diameter": "20 mm", **base, field: second}
    replaced = dataclasses.replace(brief(**base), **{field: second})
    assert replaced == Brief(**typed) and replaced.si == Brief(**typed).si and getattr(replaced, field) == second
    assert brief(**base | {field: TWO_VALUES[field][0]}) != replaced


def test_a_brief_is_frozen_and_replace_checks_again():
    plain = brief()
    with pytest.raises(dataclasses.FrozenInstanceError):
        plain.cooling = "water"
    with pytest.raises(ValueError, match="^torque: got '5 J'.*not an energy"):
        dataclasses.replace(plain, torque="5 J")
    assert plain.supply_is_fixed and not brief(supply_frequency=("40 Hz", "60 Hz")).supply_is_fixed
    assert plain.si.active_length == plain.si.rotor_diameter == 0.02
