"""What binds by size: elasticities against single choices, against closed forms, and the map that is drawn of them."""

import dataclasses
import math

import numpy as np
import pytest

from scaling import Brief, Q, choose, exponent
from scaling.decision.binding import FIELDS, RELAXED, binding
from scaling.machines import ROTORS
from scaling.pictures import plots
from scaling.pictures.binding import plot_binding, plot_elasticities

KINDS = ("induction", "hysteresis", "reluctance", "magnet")
IDEAL = {  # heat of the winding alone, a thin gap, a coefficient that does not change
    **{"cooling": "25 W/m^2/K", "core_loss": "0.002 W/kg", "bearing_friction": 1e-6, "gap_ratio": 1e-9},
    **{"gap_floor": "10 um", "tooth_field_limit": "90 T", "yoke_field_limit": "90 T", "reluctance_rotor": "salient"},
    **{"pole_pairs": 2, "self_starting": False, "pull_out_reserve": 1.0},
    **{"eccentricity": 0.0, "temperature_drop": "none"},
}


def brief(**given):
    return Brief(**{"rotor_diameter": "20 mm"} | given)


@pytest.fixture(scope="module")
def found():
    return binding(brief(gap_floor="20 um"), Q(np.geomspace(0.3, 300, 9), "mm"), fields=("core_building_factor",))


def test_every_limit_names_fields_of_the_brief():
    known = {f.name for f in dataclasses.fields(Brief)}
    assert set(FIELDS) <= known and len(set(FIELDS)) == len(FIELDS) == sum(map(len, RELAXED.values()))


@pytest.mark.parametrize("field", ["temperature_rise", "gap_floor", "wire_packing", "slip_limit", "tooth_field_limit"])
@pytest.mark.parametrize("size", ["3 mm", "60 mm"])
def test_an_elasticity_is_the_slope_of_single_choices(field, size):
    one = binding(brief(slip_limit=0.1), [size, "900 mm"])
    typed = {"temperature_rise": "{} K", "gap_floor": "{} um", "tooth_field_limit": "{} T"}.get(field)
    middle = {
        "temperature_rise": 60.0,
        "gap_floor": 50.0,
        "wire_packing": 0.6,
        "slip_limit": 0.1,
        "tooth_field_limit": 1.8,
    }
    ends = [middle[field] * by for by in (1.02, 0.98)]
    made = [
        choose(brief(**{"rotor_diameter": size, "slip_limit": 0.1, field: typed.format(end) if typed else end}))
        for end in ends
    ]
    for kind in KINDS:
        merits = [choice[kind].merit for choice in made]
        if min(merits) > 0:
            slope = math.log(merits[0] / merits[1]) / math.log(1.02 / 0.98)
            assert one.elasticity[kind][field][0] == pytest.approx(slope, abs=0.01), kind


@pytest.mark.parametrize("kind", KINDS)
def test_the_reserve_of_a_type_is_moved_though_the_brief_leaves_it_to_the_type(kind):
    """And a fixed supply stays one: its designs are those of the plain brief."""
    plain = choose(brief(rotor_diameter="30 mm"))
    one = binding(brief(), ["30 mm", "31 mm"])
    assert one.limits[kind][0] == plain[kind].limited_by
    made = [choose(brief(rotor_diameter="30 mm", pull_out_reserve=ROTORS[kind].reserve * by)) for by in (1.02, 0.98)]
    slope = math.log(made[0][kind].merit / made[1][kind].merit) / math.log(1.02 / 0.98)
    assert one.elasticity[kind]["pull_out_reserve"][0] == pytest.approx(slope, abs=0.01)
    assert (
        "pull_out_reserve"
        not in binding(brief(supply_frequency=("5 Hz", "50 Hz")), ["30 mm", "31 mm"]).elasticity[kind]
    )


def test_closed_forms():
    """Winding heat alone: loading squared goes with copper and heat, torque with its square, a magnet's with itself.

    The gap is wide, so that iron hardly counts: what it takes falls with the field there, hence a little over.
    """
    given = IDEAL | {"gap_floor": "1 mm", "slot_fill": 0.4}
    one = binding(brief(**given), ["20 mm", "21 mm"], fields=("emissivity", "winding_factor"))
    answer = {name: slope[0] for name, slope in one.elasticity["reluctance"].items()}
    assert answer["slot_fill"] == pytest.approx(1.0, abs=0.04)
    assert answer["winding_factor"] == pytest.approx(2.0, abs=0.08)
    assert answer["emissivity"] == pytest.approx(0.0, abs=1e-3)
    assert one.elasticity["magnet"]["slot_fill"][0] == pytest.approx(0.5, abs=0.02)
    # Small goodness: the torque across the gap goes with the slip, and friction takes its share of it unchanged.
    small = binding(brief(**{**IDEAL, "slip_limit": 0.01}), ["6 mm", "6.1 mm"])
    made = choose(brief(**{**IDEAL, "slip_limit": 0.01, "rotor_diameter": "6 mm"}))["induction"].values
    share = made["gap_torque"] / made["torque"]
    assert small.elasticity["induction"]["slip_limit"][0] == pytest.approx(share, abs=0.02)


def test_sizes_and_exponent_of_the_symbols():
    """The local slope of merit with size is the symbols' exponent less the three of the volume.

    The gap is wide enough for iron not to count: saturated, it takes half a power of the torque.
    """
    sizes = np.array([40.0, 44.0])
    given = {**IDEAL, "gap_floor": "1 um", "gap_ratio": 0.02, "slot_fill": 0.4}
    made = [choose(brief(rotor_diameter=f"{size} mm", **given))["reluctance"].merit for size in sizes]
    slope = math.log(made[1] / made[0]) / math.log(sizes[1] / sizes[0])
    assert slope + 3 == pytest.approx(float(exponent("torque", kind="reluctance", holding="heat per surface")), abs=0.1)


def test_what_binds_is_the_largest_gain_and_friction_where_no_torque_is_left(found):
    for kind in KINDS:
        assert len(found.limits[kind]) == len(found.binds[kind]) == 9
        for i, name in enumerate(found.binds[kind]):
            if name in RELAXED and np.isfinite(found.elasticity[kind]["wire_packing"][i]):
                gains = {
                    limit: sum(
                        way * found.elasticity[kind][f][i] for f, way in fields.items() if f in found.elasticity[kind]
                    )
                    for limit, fields in RELAXED.items()
                }
                assert gains[name] == max(gains.values()) == pytest.approx(found.gain[kind][i])
    assert found.binds["induction"][0] == "nothing", "below half a millimetre no slots of its cage can be cut"
    rough = binding(brief(gap_floor="100 um", bearing_friction=1.0, bearing_diameter_ratio=0.4), ["0.4 mm", "0.5 mm"])
    assert rough.binds["hysteresis"][0] == "friction", "and friction takes all"
    assert found.binds["magnet"][4] == "pull-out reserve"
    assert "core_building_factor" in found.elasticity["induction"]


@pytest.mark.parametrize("field", ["cooling", "rotor_diameter", "torque", "sise", "supply"])
def test_a_field_that_is_no_number_is_refused(field):
    with pytest.raises(ValueError, match="fields: got"):
        binding(brief(), ["2 mm", "3 mm"], fields=(field,))


def test_the_map_has_a_row_a_type_and_names_every_stretch(found):
    fig, ax = plots.figure()
    plot_binding(ax, found)
    words = {text.get_text().replace("\n", " ") for text in ax.texts}
    assert words == {str(name) for names in found.binds.values() for name in names}
    hatches = {bar.get_label().split(": ")[1]: (bar[0].get_hatch(), bar[0].get_facecolor()) for bar in ax.containers}
    assert len(set(hatches.values())) == len(hatches), "every limit has its own hatch"
    plots.plt.close(fig)


def test_elasticities_are_drawn_with_the_numbers(found):
    fig, ax = plots.figure()
    plot_elasticities(ax, found, "reluctance")
    drawn = {line.get_label(): line.get_ydata() for line in ax.lines}
    np.testing.assert_allclose(drawn["wire packing"], found.elasticity["reluctance"]["wire_packing"])
    assert "overspeed" not in drawn
    plots.plt.close(fig)
