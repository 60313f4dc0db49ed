"""A search that goes on from designs of a brief that differs a little: no worse than these, near the whole search."""

import asyncio
from dataclasses import replace

import numpy as np
import pytest
from test_widgets import START, assert_drawn_is_the_sweep_of, drawn

from scaling.decision.sweep import sweep_on
from scaling.interface import widgets

SIZES = np.geomspace(0.001, 0.3, 11)
BRIEFS = {
    "on the mains": START,
    "at the mains, need not start": replace(START, self_starting=False),
    "on a drive": replace(START, supply_frequency=("20 Hz", "1 kHz")),
}


def merits(table, kind):
    return np.where(table.feasible[kind], table.merit[kind], np.nan)


@pytest.mark.parametrize("brief", BRIEFS.values(), ids=BRIEFS)
def test_searching_on_with_the_same_brief_loses_nothing(brief):
    table = sweep_on(brief, SIZES, "torque per volume")
    again = sweep_on(brief, SIZES, "torque per volume", table)
    for kind in table.merit:
        assert np.array_equal(table.feasible[kind], again.feasible[kind])
        ratio = merits(again, kind) / merits(table, kind)
        assert np.nanmin(ratio) > 1 - 1e-6 and np.nanmax(ratio) < 1.02


@pytest.mark.parametrize(
    "change", [{"gap_floor": "21.2 um"}, {"temperature_rise": "61 K"}, {"supply_frequency": "53 Hz"}]
)
def test_one_step_of_a_slider_comes_near_the_whole_search(change):
    brief = replace(START, **change)
    on = sweep_on(brief, SIZES, "torque per volume", sweep_on(START, SIZES, "torque per volume"))
    whole = sweep_on(brief, SIZES, "torque per volume")
    for kind in whole.merit:
        lost = whole.feasible[kind] & ~on.feasible[kind]  # a magnet's start on the mains hangs on a hair
        assert not np.any(on.feasible[kind] & ~whole.feasible[kind]) and lost.sum() <= (2 if kind == "magnet" else 0)
        short = 1 - merits(on, kind) / merits(whole, kind)
        assert np.nanmedian(short) < 4e-3 and np.nanmax(short) < 0.05


def test_sizes_that_differ_start_from_the_nearest():
    table = sweep_on(START, SIZES, "torque per volume")
    more = np.union1d(SIZES, [0.0123])
    on, whole = sweep_on(START, more, "torque per volume", table), sweep_on(START, more, "torque per volume")
    for kind in whole.merit:
        ratio = merits(on, kind) / merits(whole, kind)
        assert np.nanmin(ratio) > 0.95


def test_a_slider_that_rests_shows_the_whole_search(monkeypatch):
    monkeypatch.setattr(widgets, "REST", 0.02)
    searches = []

    def recorded(brief, sizes, merit, near=None):
        searches.append("all" if near is None else "on")
        return sweep_on(brief, sizes, merit, near)

    monkeypatch.setattr(widgets, "sweep_on", recorded)

    async def slide():
        explorer = widgets.explore(START)
        for floor in (21.2, 22.4, 23.7):
            explorer.controls["gap_floor"].value = floor
        moving = drawn(explorer)
        await asyncio.sleep(0.1)
        return explorer, moving

    explorer, moving = asyncio.run(slide())
    assert searches == ["all", "on", "on", "on", "all"]
    brief = replace(START, gap_floor="23.7 um")
    assert_drawn_is_the_sweep_of(brief, explorer)
    for kind, curve in drawn(explorer).items():
        assert np.nanmedian(np.abs(moving[kind] / curve - 1)) < 0.01, kind


def test_words_that_are_read_while_a_slider_moves_are_those_at_rest():
    async def slide():
        explorer = widgets.explore(START)
        explorer.controls["gap_floor"].value = 30.0
        return explorer.words, explorer

    words, explorer = asyncio.run(slide())
    assert words == explorer.words
    assert_drawn_is_the_sweep_of(replace(START, gap_floor="30 um"), explorer)


def test_another_merit_or_cooling_is_searched_whole_at_once():
    async def pick():
        explorer = widgets.explore(START)
        explorer.controls["cooling"].value = "water"
        return explorer._timer

    assert asyncio.run(pick()) is None
