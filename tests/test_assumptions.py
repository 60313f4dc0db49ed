"""What the answer hangs on: the table of assumptions."""

import dataclasses

import numpy as np
import pytest

from scaling import Brief, sweep
from scaling.decision.assumptions import ASSUMPTIONS, assumptions

SIZES = ["2 mm", "4 mm", "10 mm", "40 mm", "300 mm"]


@pytest.fixture(scope="module")
def table():
    return assumptions(Brief(rotor_diameter="20 mm", gap_floor="30 um"), SIZES)


def test_every_alternative_is_a_field_away_from_its_default():
    defaults = {f.name: f.default for f in dataclasses.fields(Brief)}
    for row in ASSUMPTIONS:
        assert all(defaults[name] != value for name, value in row.fields.items())
        assert row.status and row.taken != row.alternative
        Brief(rotor_diameter="20 mm", **row.fields)


def test_the_plain_row_is_the_sweep_of_the_brief(table):
    plain = sweep(table.brief, SIZES)
    assert list(table.plain.best) == list(plain.best)
    for i, (first, second) in enumerate(table.leaders):
        assert plain.merit[first][i] >= plain.merit[second][i] or not plain.feasible[second][i]
        if np.isfinite(table.lead[i]):
            assert table.lead[i] == pytest.approx(plain.merit[first][i] / plain.merit[second][i])
    (found,) = [D for D, low, high in table.plain.crossovers if (low, high) == ("hysteresis", "induction")]
    (exact,) = [c for c in sweep(table.brief, ["2 mm", "4 mm"]).crossovers if c.below == "hysteresis"]
    assert found == pytest.approx(exact.rotor_diameter.magnitude, rel=0.2)  # interpolated over a factor of two


def test_each_row_is_the_sweep_of_the_changed_brief(table):
    row = next(row for row in table.rows if row.assumption.name == "pull-out reserve")
    changed = sweep(Brief(rotor_diameter="20 mm", gap_floor="30 um", pull_out_reserve=1.0), SIZES)
    first, second = table.leaders[3]
    lead = changed.merit[first][3] / changed.merit[second][3]
    assert row.change[3] == pytest.approx(lead / table.lead[3], rel=1e-9)


def test_what_the_brief_says_itself_is_no_assumption():
    given = assumptions(Brief(rotor_diameter="20 mm", slip_limit=0.2), ["10 mm", "20 mm"])
    assert "slip" not in {row.assumption.name for row in given.rows}
    assert len(given.rows) == len(ASSUMPTIONS) - 1


def test_the_band_adds_squares_of_logarithms_of_what_is_against_the_lead(table):
    left_out = []
    for i, band in enumerate(table.band):
        logs = {row.assumption: np.log(row.change[i]) for row in table.rows}
        logs = {row: log for row, log in logs.items() if not np.isnan(log)}  # with the alternative neither turns
        squares = sum(log**2 for row, log in logs.items() if log < 0.0 or not row.ends)
        assert band == pytest.approx(np.exp(np.sqrt(squares)), nan_ok=True)
        left_out.append(sum(log**2 for log in logs.values()) - squares)
    assert np.nanmax(left_out) > 1e-6  # what can only help the leader
    assert (table.band >= 1.0).all()


def test_the_table_says_where_crossover_and_lead_go(table):
    told = table.markdown(["10 mm", "300 mm"])
    assert told.count("\n") == len(table.rows) + 3
    assert "hysteresis / induction" in told and "open: " in told
