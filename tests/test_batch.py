"""Many briefs solved in one call give what each gives alone."""

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest
from briefs import TWO_VALUES, brief

from scaling import Brief
from scaling.decision.merits import MERITS
from scaling.decision.optimum import best_designs

DRIVE = {"supply_frequency": ("20 Hz", "400 Hz")}
ASKED = {"speed": ("1000 rpm", "2800 rpm"), "torque": "1 mN*m", "starting_torque": "0.5 mN*m"}
BATCHES = {
    "mains": {},
    "drive": DRIVE,
    "asked for": ASKED,
    "drive, asked for": DRIVE | ASKED,
    "given coefficient": {"cooling": "25 W/m^2/K", "pole_pairs": 2, "barriers": 3, "slots_per_pole_and_phase": 1},
    "shaft fan": {"cooling": "shaft fan", "induction_rotor": "sheet"},
    "water": {"cooling": "water", "reluctance_rotor": "flux barriers"},
    "conduction": {"cooling": "conduction", "rotor_material": "aluminium"},
}
WHOLE = ("pole_pairs", "barriers", "slots_per_pole_and_phase")
DRAWS = 4


def varied(plain, rng):
    """Return the SI values of briefs of which every number is drawn within 20 % of the plain one, and the batch."""
    si = dict(vars(plain.si))
    numbers = [name for name, value in si.items() if isinstance(value, float | tuple) and not isinstance(value, bool)]
    batch = dict(si)
    for name in numbers:
        high = {f.name: f.metadata.get("high") for f in dataclasses.fields(Brief)}.get(name) or np.inf
        factor = rng.uniform(0.85, 1.15, DRAWS)
        if isinstance(si[name], tuple):
            batch[name] = tuple(np.asarray(end) * factor for end in si[name])
        else:
            batch[name] = np.minimum(si[name] * factor, high)
    for name in WHOLE:
        if si[name] is not None:
            batch[name] = si[name] + np.arange(DRAWS) % 3

    def one(i):
        def at(value):
            if isinstance(value, tuple):
                return tuple(at(part) for part in value)
            return value[i].item() if isinstance(value, np.ndarray) else value

        return SimpleNamespace(**{name: at(value) for name, value in batch.items()})

    return SimpleNamespace(**batch), [one(i) for i in range(DRAWS)]


def compare(batch, singles, sizes, merit, fixed, kinds=("induction", "hysteresis", "reluctance", "magnet")):
    together = best_designs(batch, sizes, merit, fixed, kinds)
    for i, (si, size) in enumerate(zip(singles, sizes, strict=True)):
        for kind, alone in best_designs(si, [size], merit, fixed, kinds).items():
            both = together[kind]
            assert both.feasible[i] == alone.feasible[0] and both.material[i] == alone.material[0]
            # The place of the search itself may differ where beyond a limit all places are one design.
            for name, value in ((name, value) for name, value in alone.figures.items() if name != "search_fraction"):
                np.testing.assert_allclose(
                    both.figures[name][i], value[0], rtol=1e-9, atol=1e-12, err_msg=f"{kind} {name}"
                )
            assert {name: ok[i] for name, ok in both.passed.items()} == {
                name: ok[0] for name, ok in alone.passed.items()
            }
            assert {name: mask[i] for name, mask in both.limits.items()} == {
                name: mask[0] for name, mask in alone.limits.items()
            }


# Every merit with three batches or more, every batch with three merits.
PAIRS = [(name, list(MERITS)[(i + j) % len(MERITS)]) for i, name in enumerate(BATCHES) for j in (0, 2, 3)]


@pytest.mark.parametrize(("name", "merit"), PAIRS)
def test_a_batch_of_briefs_gives_what_each_gives_alone(name, merit):
    rng = np.random.default_rng([len(name), len(merit)])
    plain = brief(gap_floor="30 um", **BATCHES[name])
    batch, singles = varied(plain, rng)
    sizes = np.geomspace(2e-3, 0.2, DRAWS)
    compare(batch, singles, sizes, merit, plain.supply_is_fixed)


SCALARS = {name for name, (a, _, _) in TWO_VALUES.items() if isinstance(a, str | bool) and not str(a)[0].isdigit()}


@pytest.mark.parametrize("name", sorted(set(TWO_VALUES) - SCALARS))
def test_every_single_field_may_be_an_array(name):
    first, second, base = TWO_VALUES[name]
    both = [brief(**base | {name: value}) for value in (first, second)]
    a, b = (vars(made.si) for made in both)

    def merged(x, y):
        if isinstance(x, tuple):
            return tuple(map(merged, x, y))
        return x if x is None or isinstance(x, str | bool) else np.array([x, y])

    batch = SimpleNamespace(**{key: merged(a[key], b[key]) for key in a})
    sizes = np.array([made.si.rotor_diameter for made in both])
    compare(batch, [made.si for made in both], sizes, "torque per volume", both[0].supply_is_fixed)
