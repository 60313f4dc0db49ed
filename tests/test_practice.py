"""What practice builds: drives as briefs, the kind that is built and its continuous figures within a factor of two.

Common practice, no source; the drives, and which inputs are ours, stand in ``practice/drives.json``. What the package
misses stands there too, with its reason: shown as a skip with the figure found, and refused once it holds.
"""

import functools
import json
import math

import pytest
from misses import missed
from repository import ROOT

from scaling import Brief, Q, choose

PRACTICE = json.loads((ROOT / "tests" / "practice" / "drives.json").read_text(encoding="utf-8"))
DRIVES = {drive["drive"]: drive for drive in PRACTICE["drives"]}
RATIOS = {
    "breakdown over rated torque": ("breakdown_torque", "torque"),
    "starting over rated torque": ("starting_torque", "torque"),
}
ASKED = [pytest.param(name, figure, id=f"{name}-{figure}") for name in DRIVES for figure in DRIVES[name]["figures"]]


@functools.cache
def chosen(name):
    """Return the choice for a drive."""
    given = {field: tuple(v) if isinstance(v, list) else v for field, v in DRIVES[name]["brief"].items()}
    return choose(Brief(**given), merit=DRIVES[name]["merit"])


def found(name, figure):
    """Return a figure in SI: of the first kind that practice builds, or a ratio of two kinds or two figures."""
    values = {kind: design.values for kind, design in chosen(name).designs.items()}
    if " of " in figure:
        what, kinds = figure.split(" of ")
        first, second = kinds.split(" over ")
        return values[first][what] / values[second][what]
    of = values[DRIVES[name]["kinds"][0]]
    if figure in RATIOS:
        above, below = RATIOS[figure]
        return of[above] / of[below]
    return of[figure]


def distance(name, figure):
    """Return the factor by which a figure lies outside of what practice has, one within."""
    low, high, unit = DRIVES[name]["figures"][figure]
    low, high = (Q(end, unit).to_base_units().m if unit else end for end in (low, high))
    value = found(name, figure)
    return math.inf if not value > 0 else max(1.0, low / value, value / high)


def skip_what_is_missed(name, what, holds, shown):
    """Skip what the data call missed, with their reason; refuse the reason once it holds."""
    if what in DRIVES[name]["missed"]:
        missed(holds, shown, DRIVES[name]["missed"][what])


@pytest.mark.parametrize("name", DRIVES)
def test_the_kind_that_is_built_is_chosen(name):
    choice, kinds = chosen(name), DRIVES[name]["kinds"]
    shown = f"built {' or '.join(kinds)}, chosen {choice.best.kind if choice.ranking else 'none'}"
    print(f"{name}: {shown}")
    holds = choice.ranking[:1] != () and choice.ranking[0] in kinds
    skip_what_is_missed(name, "kind", holds, shown)
    assert holds, shown


@pytest.mark.parametrize(("name", "figure"), ASKED)
def test_figures_within_a_factor_of_two(name, figure):
    low, high, unit = DRIVES[name]["figures"][figure]
    value = found(name, figure)
    shown = f"{figure} built {low} to {high} {unit}, found {value / (Q(1, unit).to_base_units().m if unit else 1):.3g}"
    print(f"{name}: {shown}")
    holds = distance(name, figure) <= PRACTICE["agreement"]
    skip_what_is_missed(name, figure, holds, shown)
    assert holds, shown


def test_half_of_the_figures_lie_closer():
    # The bar of two is wide. Over all figures, those missed included, the median factor is 1.10.
    factors = sorted(distance(*asked.values) for asked in ASKED)
    print(" ".join(f"{factor:.2f}" for factor in factors))
    assert factors[len(factors) // 2] < 1.35


def test_the_data_say_what_is_ours():
    assert PRACTICE["status"] == "C" and len(DRIVES) == len(PRACTICE["drives"]) == 11
    for drive in DRIVES.values():
        assert list(drive) == ["drive", "kinds", "merit", "brief", "figures", "missed", "stated"]
        assert set(drive["missed"]) <= {"kind", *drive["figures"]}
        assert drive["stated"] and all(low <= high for low, high, _ in drive["figures"].values())


def test_a_missed_figure_that_holds_is_refused():
    name = "axial fan 120 mm, shaded pole"
    with pytest.raises(AssertionError, match="holds now"):
        skip_what_is_missed(name, "torque", True, "20 mN·m")
