"""What the figures of a choice mean, and that every field of a brief, cooling mode and limit has its effect.

Expected units and meanings are the project's own definitions; the relations between figures are textbook identities
(power is torque times speed, force is stress times area), written out here apart from the package.
"""

import dataclasses
import math

import numpy as np
import pytest
from briefs import FIELDS, TWO_VALUES, brief, changed, outcomes

from scaling import choose
from scaling.decision.merits import MERITS

PLAIN = choose(brief(magnets_allowed=True))
KINDS = tuple(PLAIN.designs)
COPPER, COPPER_COEFFICIENT, COPPER_DENSITY, IRON_DENSITY = 58.0e6, 0.00393, 8890.0, 7700.0  # IEC 60028; iron (C)
UNITS = {
    "torque": "N*m",
    "starting_torque": "N*m",
    "breakdown_torque": "N*m",
    "power": "W",
    "speed": "rad/s",
    "frequency": "Hz",
    "gap": "m",
    "gap_field_peak": "T",
    "linear_current_density_rms": "A/m",
    "current_density_rms": "A/m**2",
    "heat_flux": "W/m**2",
    "heat_coefficient": "W/m**2/K",
    "shear_stress": "Pa",
    "rotor_diameter": "m",
    "active_length": "m",
    "outside_diameter": "m",
    "volume": "m**3",
    "mass": "kg",
}
VARIED = [
    {},
    {"rotor_diameter": "150 mm", "cooling": "shaft fan", "fin_factor": 2.0},
    {"cooling": "water", "conductor": "aluminium"},
    {"supply_frequency": ("10 Hz", "1 kHz"), "active_length": "40 mm"},
    {"rotor_diameter": "3 mm", "gap_floor": "20 um", "bearing_friction": 0.01},
    {"speed": "1500 rpm", "induction_rotor": "sheet"},
]


@pytest.fixture(scope="module", params=VARIED, ids=range(len(VARIED)))
def made(request):
    return choose(brief(magnets_allowed=True, **request.param))


# What is there


def test_every_design_has_the_figures_asked_for_in_their_units():
    for kind in KINDS:
        design = PLAIN[kind]
        assert design.kind == kind and isinstance(design.feasible, bool) and isinstance(design.material, str)
        for name, unit in UNITS.items():
            figure = getattr(design, name)
            assert figure.check(unit) and figure.m_as(unit) == design.values[name], name
        for name in ("slip", "power_factor", "efficiency", "goodness"):
            assert isinstance(getattr(design, name), float)
        assert isinstance(design.pole_pairs, int) and design.pole_pairs >= 1
        assert set(design.losses) == {"winding", "core", "rotor", "friction"}
        assert all(loss.check("W") and loss.m >= 0 for loss in design.losses.values())
        assert all(isinstance(text, str) for text in (*design.limited_by, *design.reasons))
        assert {*UNITS, "slip", "losses", "pole_pairs", "reasons"} <= set(dir(design))
    assert set(KINDS) == {"induction", "hysteresis", "reluctance", "magnet"}
    assert math.isfinite(PLAIN["induction"].goodness) and math.isnan(PLAIN["reluctance"].goodness)
    assert PLAIN["hysteresis"].slip == PLAIN["reluctance"].slip == PLAIN["magnet"].slip == 0


def test_a_choice_says_who_leads_by_how_much():
    assert PLAIN.best.kind == PLAIN.ranking[0] == "magnet"
    merits = [PLAIN[kind].merit for kind in PLAIN.ranking]
    assert merits == sorted(merits, reverse=True) and PLAIN.margin == merits[0] / merits[1]
    assert PLAIN.yardstick == PLAIN["magnet"].merit / max(d.merit for d in PLAIN.designs.values() if d.kind != "magnet")
    asked = choose(brief(torque="2 mN*m"))
    assert "magnet" not in asked.ranking and asked["magnet"].torque.m > 0
    assert asked.torque_margin == pytest.approx(asked.best.torque.m / 2e-3, rel=1e-12)
    assert math.isnan(choose(brief()).torque_margin)


# What it means


def test_power_and_losses_close_the_balance(made):
    for d in made.designs.values():
        if math.isnan(d.torque.m):
            continue
        losses = sum(loss.m for loss in d.losses.values())
        assert d.power.m == pytest.approx(d.torque.m * d.speed.m, rel=1e-12)
        assert d.efficiency == pytest.approx(d.power.m / (d.power.m + losses), rel=1e-12)
        assert d.speed.m == pytest.approx(2 * math.pi * d.frequency.m * (1 - d.slip) / d.pole_pairs, rel=1e-12)
        # Two routes to the rotor's heat: slip times what crosses the gap, and what crosses less what the shaft gets.
        area = math.pi * d.rotor_diameter.m * d.active_length.m
        crossing = d.shear_stress.m * area * 2 * d.frequency.m * math.pi * d.rotor_diameter.m / (2 * d.pole_pairs)
        gap_torque = d.shear_stress.m * area * d.rotor_diameter.m / 2
        assert d.losses["rotor"].m == pytest.approx(d.slip * crossing, rel=1e-9)
        assert crossing - gap_torque * d.speed.m == pytest.approx(d.losses["rotor"].m, rel=1e-9, abs=1e-12 * crossing)
        assert d.torque.m == pytest.approx(gap_torque - d.losses["friction"].m / d.speed.m, rel=1e-9)


def test_current_and_heat_belong_together(made):
    si = made.brief.si
    for d in made.designs.values():
        D, L, p, outside = d.rotor_diameter.m, d.active_length.m, d.pole_pairs, d.outside_diameter.m
        bore = D + 2 * d.gap.m
        surface = math.pi * outside * L + math.pi * outside**2 / 2
        losses = sum(loss.m for loss in d.losses.values())
        assert d.heat_flux.m == pytest.approx(losses / surface, rel=1e-9, nan_ok=True)
        # Fan and air friction are taken at the slip found one step before: equal to 1e-4.
        assert not d.heat_flux.m > d.heat_coefficient.m * si.temperature_rise * (1 + 1e-4)
        copper_layer = si.slot_fill * (1 - si.tooth_share) * si.slot_depth_ratio * D
        assert d.linear_current_density_rms.m == pytest.approx(d.current_density_rms.m * copper_layer, nan_ok=True)
        if si.conductor == "copper":
            hot = 1 + COPPER_COEFFICIENT * (si.ambient + si.temperature_rise - 293.15)
            volume = math.pi * bore * copper_layer * L * (1 + si.end_turn_ratio * math.pi * bore / (2 * p) / L)
            heat = d.current_density_rms.m**2 * hot / COPPER * volume
            assert d.losses["winding"].m == pytest.approx(heat, rel=1e-9, nan_ok=True)
        # Three phases: real power crossing the gap over the apparent power of the rms field and loading.
        wave_speed = 2 * d.frequency.m * math.pi * bore / (2 * p)
        apparent = d.gap_field_peak.m * d.linear_current_density_rms.m * si.winding_factor / math.sqrt(2) * wave_speed
        at_bore = d.shear_stress.m * (D / bore) ** 2  # the torque stays as it is
        assert not at_bore * wave_speed > apparent * (1 + 1e-9) and not d.power_factor > 1


def test_geometry_and_mass_are_those_of_the_brief(made):
    si = made.brief.si
    for d in made.designs.values():
        D, L, outside, slot = d.rotor_diameter.m, d.active_length.m, d.outside_diameter.m, si.slot_depth_ratio
        assert si.rotor_diameter == D and d.slot_depth.m == slot * D
        assert pytest.approx(si.active_length) == L
        assert d.gap.m == max(si.gap_floor, si.gap_ratio * D)
        assert outside == pytest.approx(si.outside_ratio * (D + 2 * d.gap.m))
        assert d.volume.m == pytest.approx(math.pi / 4 * outside**2 * L)
        bore = D + 2 * d.gap.m
        iron = D**2 / 4 + bore * slot * D * si.tooth_share + (outside**2 - (bore + 2 * slot * D) ** 2) / 4
        ends = 1 + si.end_turn_ratio * math.pi * bore / (2 * d.pole_pairs) / L
        if si.conductor == "copper":
            winding = bore * slot * D * si.slot_fill * (1 - si.tooth_share) * ends * COPPER_DENSITY
            assert d.mass.m == pytest.approx(math.pi * L * (iron * IRON_DENSITY + winding), rel=1e-9)


FORMULAS = {
    "torque per volume": lambda d: d.torque.m / d.volume.m,
    "torque per mass": lambda d: d.torque.m / d.mass.m,
    "power per volume": lambda d: d.power.m / d.volume.m,
    "efficiency": lambda d: d.efficiency,
    "torque per root watt": lambda d: d.torque.m / math.sqrt(sum(loss.m for loss in d.losses.values())),
    "power per volt-ampere": lambda d: d.power.m / d.volt_amperes.m,
}


@pytest.mark.parametrize("given", [{}, {"rotor_diameter": "150 mm", "cooling": "shaft fan"}, {"cooling": "water"}])
def test_each_merit_is_what_its_name_says_and_best_when_asked_for(given):
    choices = {name: choose(brief(self_starting=False, **given), name) for name in MERITS}
    assert set(FORMULAS) == set(MERITS)
    for kind in KINDS:
        for name, formula in FORMULAS.items():
            design = choices[name][kind]
            assert design.merit == pytest.approx(formula(design), rel=1e-9)
            assert design.feasible and all(choice[kind].feasible for choice in choices.values())
            assert design.merit >= max(formula(choice[kind]) for choice in choices.values()) * (1 - 1e-5), (kind, name)


def test_starting_and_breakdown_torque():
    for given in VARIED:
        choice = choose(brief(magnets_allowed=True, **given))
        for d in choice.designs.values():
            assert not d.breakdown_torque.m < d.torque.m * (1 - 1e-9)
        fixed = choice.brief.supply_is_fixed
        for kind in ("reluctance", "magnet"):  # on a fixed supply they only shake at rest
            assert (choice[kind].starting_torque.m <= 0) == fixed


def test_induction_starts_on_the_textbook_curve_at_its_starting_current():
    # T = 2*T_max/(s/s_m + s_m/s) at one loading, with s_m = 1/goodness; torque goes with the square of the current.
    # A rotor whose voltage drives that current at rest, and whose bars are shallow against the skin depth.
    ratios = (1.0, 1.5, 2.0)
    made = (choose(brief(rotor_diameter="40 mm", starting_current_ratio=ratio)) for ratio in ratios)
    rest, *more = (choice["induction"] for choice in made)
    s_m, s = 1 / rest.goodness, rest.slip
    # At rest the rotor carries bearing friction only; with speed there is that of the air too, less than 1 % here.
    friction = rest.losses["friction"].m / rest.speed.m
    at_rest = (rest.torque.m + friction) * (s / s_m + s_m / s) / (1 / s_m + s_m)
    assert rest.starting_torque.m + friction == pytest.approx(at_rest, rel=0.01)
    for design, ratio in zip(more, ratios[1:], strict=True):
        assert design.starting_torque.m + friction == pytest.approx(at_rest * ratio**2, rel=0.01)
        assert design.torque.m == rest.torque.m


# Cooling

COOLING = ("still air", "shaft fan", "forced air", "water", "conduction", "25 W/m^2/K")


def test_each_cooling_mode_gives_its_own_coefficient_and_torque():
    made = {mode: choose(brief(rotor_diameter="60 mm", cooling=mode)) for mode in COOLING}
    for kind in KINDS:
        h = [made[mode][kind].heat_coefficient.m for mode in COOLING]
        torque = [made[mode][kind].torque.m for mode in COOLING]
        for i in range(len(COOLING)):
            for j in range(i):
                assert abs(h[i] / h[j] - 1) > 0.01 and abs(torque[i] / torque[j] - 1) > 1e-3, (COOLING[i], COOLING[j])
        assert h[0] < min(h[1], h[2]) and h[3] > 10 * h[2] and h[5] == 25.0


def test_torque_rises_with_what_the_surface_passes():
    for kind in KINDS:
        torque = [choose(brief(cooling=f"{h} W/m^2/K"))[kind].torque.m for h in (5, 10, 20, 40, 80)]
        assert np.all(np.diff(torque) > 0)


# Every field


def test_two_values_are_given_for_every_field():
    assert set(TWO_VALUES) == set(FIELDS)


@pytest.mark.parametrize("field", FIELDS)
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
    "rib_ratio": "reluctance",
    "magnet_arc": "magnet",
    "magnet": "magnet",
    "induction_rotor": "induction",
}


@pytest.mark.parametrize("field", TOUCHES_ONLY)
def test_a_field_of_one_type_leaves_the_others_alone(field):
    first, second, base = TWO_VALUES[field]
    one, other = (outcomes(**base | {field: value})[0] for value in (first, second))
    assert {kind for kind, _ in changed(one, other)} == {TOUCHES_ONLY[field]}


# The second value never gives less torque than the first, in the types named and with the pole number held. A magnet
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
    ("slot_opening_ratio", 0.6, 0.2, {}, THREE),
    ("end_turn_ratio", 3.0, 1.0, {}, KINDS),
    ("fin_factor", 1.0, 3.0, {}, KINDS),
    ("emissivity", 0.1, 0.9, {}, KINDS),
    ("medium_conductivity", "0.1 W/m/K", "1 W/m/K", {"cooling": "conduction"}, KINDS),
    ("coolant_speed", "1 m/s", "10 m/s", {"cooling": "forced air"}, KINDS),
    ("fan_speed_ratio", 0.5, 2.0, {"cooling": "shaft fan"}, KINDS),
    ("core_loss", "12 W/kg", "3 W/kg", {}, KINDS),
    ("core_building_factor", 3.0, 1.0, {}, KINDS),
    ("bearing_friction", 0.2, 0.001, {}, KINDS),
    ("bearing_diameter_ratio", 0.3, 0.1, {}, KINDS),
    ("conductor", "aluminium", "copper", {}, KINDS),
    ("slip_limit", 0.05, 0.3, {"rotor_diameter": "10 mm"}, ("induction",)),
    ("rotor_depth_ratio", 0.02, 0.1, {}, THREE),
    ("bar_share", 0.2, 0.5, {}, ("induction",)),
    ("magnet", "hard ferrite", "sintered neodymium", {}, ("magnet",)),
    ("rotor_material", "brass", "copper", {}, ("induction",)),
    ("rotor_material", "soft sheet steel", "best", {}, ("hysteresis",)),
]


@pytest.mark.parametrize(("field", "less", "more", "base", "kinds"), RAISES, ids=[f"{r[0]}-{r[1]}" for r in RAISES])
def test_a_looser_limit_gives_more_torque(field, less, more, base, kinds):
    poor, rich = (choose(brief(**{"pole_pairs": 1} | base | {field: value})) for value in (less, more))
    for kind in kinds:
        assert rich[kind].torque.m > poor[kind].torque.m * (1 - 1e-6)
    assert any(rich[kind].torque.m > poor[kind].torque.m * (1 + 1e-4) for kind in kinds)


DRIVE = {"supply_frequency": ("10 Hz", "100 Hz")}
BINDS = [
    ("gap floor", "induction", {"gap_floor": "200 um"}),
    ("temperature rise", "reluctance", {}),
    ("slip limit", "induction", {}),
    ("rotor thickness", "hysteresis", {}),
    ("tooth field", "reluctance", {"cooling": "water", "reluctance_rotor": "salient"}),
    ("segment field", "reluctance", {"cooling": "water", "rotor_diameter": "200 mm"}),
    ("ribs", "reluctance", {"cooling": "water"}),
    ("gap field", "hysteresis", {"cooling": "water", "gap_field_limit": "0.5 T"}),
    ("yoke field", "induction", {"cooling": "water", "yoke_field_limit": "0.7 T"}),
    ("yoke field", "magnet", {"speed": "3000 rpm"}),
    ("rim speed", "induction", {"rim_speed_limit": "2 m/s"} | DRIVE),
    ("frequency range", "hysteresis", DRIVE),
    ("speed asked for", "induction", {"speed": ("2950 rpm", "3000 rpm")}),
]


@pytest.mark.parametrize(("limit", "kind", "given"), BINDS)
def test_a_limit_that_binds_is_named_and_only_then(limit, kind, given):
    merit = "power per volume" if limit == "rim speed" else "torque per volume"
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
        field_limit = min(si.gap_field_limit or math.inf, si.tooth_field_limit * si.tooth_share)
        for d in (choice[kind] for kind in choice.ranking):
            low, high = si.supply_frequency
            assert low * (1 - 1e-9) <= d.frequency.m <= high * (1 + 1e-9)
            assert d.slip <= si.slip_limit * (1 + 1e-9) and d.gap_field_peak.m <= field_limit * (1 + 1e-6)
            field_speed = math.pi * d.rotor_diameter.m * d.frequency.m / d.pole_pairs
            assert field_speed <= si.rim_speed_limit * (1 + 1e-9)
            assert si.speed is None or si.speed[0] * (1 - 1e-9) <= d.speed.m <= si.speed[1] * (1 + 1e-9)


def test_a_wider_supply_is_never_worse_and_its_ends_matter():
    narrow, wide = (
        choose(brief(supply_frequency=ends), "power per volume") for ends in (("40 Hz", "60 Hz"), ("20 Hz", "200 Hz"))
    )
    for kind in KINDS:
        assert wide[kind].merit > narrow[kind].merit * 1.1
    fixed = choose(brief(supply_frequency="60 Hz"), "power per volume")
    pair = choose(dataclasses.replace(fixed.brief, supply_frequency=("60 Hz", "60 Hz")), "power per volume")
    assert {k: d.values["torque"] for k, d in pair.designs.items()} == {
        k: d.values["torque"] for k, d in fixed.designs.items()
    }


def test_a_fixed_pole_number_or_material_is_kept_and_best_is_never_worse():
    free = choose(brief())
    for p in (1, 2, 3, 4):
        held = choose(brief(pole_pairs=p))
        assert all(d.pole_pairs == p for d in held.designs.values())
        for kind in ("induction", "hysteresis"):
            assert free[kind].merit >= held[kind].merit * (1 - 1e-12)
    for name in ("cast iron", "36 % cobalt steel", "brass"):
        held = choose(brief(rotor_material=name))
        kind = "induction" if name == "brass" else "hysteresis"
        assert held[kind].material == name and held[kind].merit <= free[kind].merit
