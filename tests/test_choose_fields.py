"""Every field of a brief has its effect, on the types it touches; limits that bind are named, and designs keep them."""

import dataclasses
import math

import pytest
from briefs import FIELDS, TWO_VALUES, brief, changed, outcomes
from test_choose import KINDS, VARIED

from scaling import choose
from scaling.decision.brief_electrical import ELECTRICAL
from scaling.ground.materials import LOOP_MATERIALS
from scaling.machines import ROTORS

# Every field


def test_two_values_are_given_for_every_field():
    assert set(TWO_VALUES) == set(FIELDS)


@pytest.mark.parametrize("field", [name for name in FIELDS if name not in ELECTRICAL])
def test_every_field_changes_a_result(field):
    first, second, base = TWO_VALUES[field]
    one, other = (outcomes(**base | {field: value}) for value in (first, second))
    assert changed(one[0], other[0]) or one[1] != other[1] or one[2] != other[2]
    assert not changed(one[0], outcomes(**base | {field: first})[0])  # and the same question has the same answer


TOUCHES_ONLY = {
    "slip_limit": "induction",
    "bar_share": "induction",
    "pole_arc": "reluctance",
    "reluctance_rotor": "reluctance",
    "barriers": "reluctance",
    "barrier_share": "reluctance",
    "rib_floor": "reluctance",
    "rotor_slot_opening_ratio": "induction",
    "oriented_rings": "hysteresis",
    "magnet_arc": "magnet",
    "magnet": "magnet",
    "induction_rotor": "induction",
}


@pytest.mark.parametrize("field", TOUCHES_ONLY)
def test_a_field_of_one_type_leaves_the_others_alone(field):
    first, second, base = TWO_VALUES[field]
    one, other = (outcomes(**base | {field: value})[0] for value in (first, second))
    assert {kind for kind, _ in changed(one, other)} == {TOUCHES_ONLY[field]}


@pytest.mark.parametrize(("cage", "kinds"), [("best", {"induction", "reluctance"}), ("none", {"induction"})])
def test_end_rings_are_those_of_a_cage_a_starting_cage_too(cage, kinds):
    one, other = (outcomes(starting_cage=cage, end_ring_ratio=ratio)[0] for ratio in (0.2, 0.05))
    assert {kind for kind, _ in changed(one, other)} == kinds


# The second value never gives less torque than the first, in the types named and with the pole number held. A magnet
# A wider opening leaks less, which a pull-out reserve asks for, and spares a pole's edge. A magnet
# rotor that its yoke limits gains a little from a wider gap: the outside diameter grows with it.
THREE = KINDS[:3]
RAISES = [
    ("gap_floor", "400 um", "100 um", {}, THREE),
    ("gap_ratio", 0.02, 0.005, {}, THREE),
    ("temperature_rise", "30 K", "60 K", {}, KINDS),
    ("ambient", "60 degC", "20 degC", {"cooling": "25 W/m^2/K"}, KINDS),
    ("gap_field_limit", "0.4 T", "0.8 T", {"cooling": "water", "pole_pairs": 4}, KINDS),
    ("yoke_field_limit", "0.5 T", "1 T", {"cooling": "water", "outside_ratio": 1.5}, KINDS),
    ("slot_fill", 0.2, 0.6, {}, KINDS),
    (
        "slot_opening_ratio",
        0.6,
        0.2,
        {"pull_out_reserve": 1.0, "tooth_field_limit": "9 T", "yoke_field_limit": "9 T"},
        THREE,
    ),
    ("end_turn_ratio", 3.0, 1.0, {}, KINDS),
    ("fin_factor", 1.0, 3.0, {}, KINDS),
    ("emissivity", 0.1, 0.9, {}, KINDS),
    ("medium_conductivity", "0.1 W/m/K", "1 W/m/K", {"cooling": "conduction"}, KINDS),
    ("coolant_speed", "1 m/s", "10 m/s", {"cooling": "forced air"}, KINDS),
    ("fan_speed_ratio", 0.5, 2.0, {"cooling": "shaft fan", "fan_loss_coefficient": 0.0}, KINDS),
    ("core_loss", "12 W/kg", "3 W/kg", {}, KINDS),
    ("core_building_factor", 3.0, 1.0, {}, KINDS),
    ("bearing_friction", 0.2, 0.001, {}, KINDS),
    ("bearing_diameter_ratio", 0.3, 0.1, {}, KINDS),
    ("conductor", "aluminium", "copper", {}, KINDS),
    ("slip_limit", 0.05, 0.3, {"rotor_diameter": "10 mm"}, ("induction",)),
    ("pull_out_reserve", 2.0, 1.2, {}, KINDS),
    ("stacking_factor", 0.8, 0.96, {"cooling": "water"}, KINDS),
    ("end_ring_ratio", 0.02, 0.2, {}, ("induction",)),
    ("rotor_depth_ratio", 0.02, 0.1, {}, THREE),
    ("bar_share", 0.2, 0.5, {}, ("induction",)),
    ("magnet", "hard ferrite", "sintered neodymium", {}, ("magnet",)),
    ("rotor_material", "brass", "copper", {}, ("induction",)),
    ("rotor_material", "soft sheet steel", "best", {}, ("hysteresis",)),
]


@pytest.mark.parametrize(("field", "less", "more", "base", "kinds"), RAISES, ids=[f"{r[0]}-{r[1]}" for r in RAISES])
def test_a_looser_limit_gives_more_torque(field, less, more, base, kinds):
    free = {"pole_pairs": 1, "self_starting": False}  # a stronger rotor needs a stronger starting cage
    poor, rich = (choose(brief(**free | base | {field: value})) for value in (less, more))
    for kind in kinds:
        assert rich[kind].torque.m > poor[kind].torque.m * (1 - 1e-6)
    assert any(rich[kind].torque.m > poor[kind].torque.m * (1 + 1e-4) for kind in kinds)


BARRED = {"reluctance_rotor": "flux barriers"}
DRIVE = {"supply_frequency": ("10 Hz", "100 Hz")}
BINDS = [
    ("gap floor", "induction", {"gap_floor": "200 um"}),
    ("temperature rise", "reluctance", {}),
    ("slip limit", "induction", {"slip_limit": 0.03}),
    ("pull-out reserve", "induction", {}),
    ("pull-out reserve", "reluctance", {"cooling": "water"}),
    ("pull-out reserve", "magnet", {}),
    ("rotor teeth", "induction", {"bar_share": 0.7, "cooling": "water", "pole_pairs": 1}),
    ("pole edge", "reluctance", {"cooling": "water", "reluctance_rotor": "salient", "temperature_drop": "none"}),
    ("rotor thickness", "hysteresis", {}),
    ("tooth field", "induction", {"cooling": "water"}),
    ("segment field", "reluctance", {"cooling": "water", "barrier_share": 0.65} | BARRED),
    ("ribs", "reluctance", {"cooling": "water"} | BARRED),
    ("gap field", "hysteresis", {"cooling": "water", "gap_field_limit": "0.5 T", "temperature_drop": "none"}),
    ("yoke field", "hysteresis", {"cooling": "water", "yoke_field_limit": "0.7 T", "pole_pairs": 1}),
    (
        "yoke field",
        "magnet",
        {"yoke_field_limit": "0.7 T", "pole_pairs": 1, "self_starting": False, "cooling": "water"},
    ),
    ("rim speed", "induction", {"rim_speed_limit": "2 m/s"} | DRIVE),
    ("frequency range", "hysteresis", DRIVE),
    ("speed asked for", "induction", {"speed": ("2950 rpm", "3000 rpm")}),
]


@pytest.mark.parametrize(("limit", "kind", "given"), BINDS)
def test_a_limit_that_binds_is_named_and_only_then(limit, kind, given):
    merit = "power per volume" if limit == "rim speed" else "torque per volume"
    given = {"slot_fill": 0.4} | given
    assert limit in choose(brief(**given), merit)[kind].limited_by
    loose = {
        "gap_field_limit": "50 T",
        "tooth_field_limit": "50 T",
        "yoke_field_limit": "50 T",
        "cooling": "still air",
        "gap_floor": "1 um",
    }
    if limit in (
        "gap floor",
        "gap field",
        "tooth field",
        "yoke field",
        "rim speed",
        "frequency range",
        "speed asked for",
    ):
        assert limit not in choose(brief(**loose))[kind].limited_by


def test_a_design_stays_inside_what_the_brief_allows():
    for given in (*VARIED, *(given for _, _, given in BINDS)):
        choice = choose(brief(magnets_allowed=True, **given))
        si = choice.brief.si
        in_teeth = si.tooth_field_limit * si.tooth_share * si.stacking_factor
        for d in (choice[kind] for kind in choice.ranking):
            # The field of magnets is flat: its fundamental may be above the teeth's limit (tests/test_limits_kept.py).
            field_limit = min(si.gap_field_limit or math.inf, in_teeth * (4 / math.pi if d.kind == "magnet" else 1.0))
            low, high = si.supply_frequency
            assert low * (1 - 1e-9) <= d.frequency.m <= high * (1 + 1e-9)
            assert d.slip <= (si.slip_limit or 0.99) * (1 + 1e-9) and d.gap_field_peak.m <= field_limit * (1 + 1e-6)
            field_speed = math.pi * d.rotor_diameter.m * d.frequency.m / d.pole_pairs
            assert field_speed <= si.rim_speed_limit * (1 + 1e-9)
            assert si.speed is None or si.speed[0] * (1 - 1e-9) <= d.speed.m <= si.speed[1] * (1 + 1e-9)


def test_a_wider_supply_is_never_worse_and_its_ends_matter():
    narrow, wide = (
        choose(brief(supply_frequency=ends, self_starting=False), "power per volume")
        for ends in (("40 Hz", "60 Hz"), ("20 Hz", "200 Hz"))
    )
    for kind in KINDS:
        assert wide[kind].merit > narrow[kind].merit * 1.1
    # A drive needs no reserve and starts what a fixed supply does not; its frequency is searched, to 0.1 %.
    held = brief(supply_frequency="60 Hz", pull_out_reserve=1.0, self_starting=False)
    fixed = choose(held, "power per volume")
    pair = choose(dataclasses.replace(held, supply_frequency=("60 Hz", "60 Hz")), "power per volume")
    for kind in KINDS:
        assert pair[kind].torque.m == pytest.approx(fixed[kind].torque.m, rel=1e-3)


def test_a_fixed_pole_number_or_material_is_kept_and_best_is_never_worse():
    free = choose(brief())
    for p in (1, 2, 3, 4):
        held = choose(brief(pole_pairs=p))
        assert all(d.pole_pairs == p for d in held.designs.values())
        for kind in ("induction", "hysteresis"):
            assert free[kind].merit >= held[kind].merit * (1 - 1e-6)
    for name in ("cast iron", "36 % cobalt steel", "brass"):
        held = choose(brief(rotor_material=name))
        kind = "induction" if name == "brass" else "hysteresis"
        assert held[kind].material == name and held[kind].merit <= free[kind].merit


def test_oriented_rings_take_part_only_where_the_brief_lets_them_or_names_one():
    """Water asks for hard rings: cast AlNiCo 8 gives half as much again, as if all directions were its best one."""
    wet = {"cooling": "water", "temperature_drop": "none"}
    usual, oriented = (choose(brief(oriented_rings=may, **wet))["hysteresis"] for may in (False, True))
    named = choose(brief(rotor_material="cast AlNiCo 8", **wet))["hysteresis"]
    assert usual.material == "isotropic AlNiCo 8" and oriented.material == named.material == "cast AlNiCo 8"
    assert named.torque.m == pytest.approx(oriented.torque.m, rel=1e-9)
    assert 1.3 < oriented.torque.m / usual.torque.m < 1.8
    left_out = {m.name for m in LOOP_MATERIALS.values()} - {m.name for m in ROTORS["hysteresis"].candidates(brief().si)}
    assert left_out == {"cast AlNiCo 5", "cast AlNiCo 8"}
