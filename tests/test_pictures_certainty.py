"""Pictures of how sure a choice is show the numbers of the record, and can be read without colour."""

import numpy as np
import pytest

from scaling import Brief, Q, certainty
from scaling.pictures import plots
from scaling.pictures.certainty import plot_probability, plot_sensitivity

SIZES = Q(np.geomspace(5, 30, 4), "mm")


@pytest.fixture(scope="module")
def made():
    given = {"gap_floor": "20 um +/- 5 um", "temperature_rise": ("50 K", "70 K"), "slip_limit": 0.1}
    brief = Brief(rotor_diameter="10 mm", **given)
    return certainty(brief, SIZES, draws=2000)


def test_probabilities_and_bands_are_those_of_the_record(made):
    fig, ax = plots.figure()
    plot_probability(ax, made)
    lines = {line.get_label(): line for line in ax.lines}
    drawn = {kind: share for kind, share in made.probability_by_size.items() if np.any(share > 0)}
    for kind, share in drawn.items():
        np.testing.assert_array_equal(lines[kind or "none"].get_ydata(), share)
    looks = {(lines[kind or "none"].get_marker(), lines[kind or "none"].get_linestyle()) for kind in drawn}
    assert len(looks) == len(drawn) > 1, "a marker or a line of its own for every type"
    bands = [patch for patch in ax.patches if patch.get_label() == "_band"]
    assert len(bands) == len([band for band in made.crossovers if band.below and band.above]) > 0
    assert all(patch.get_hatch() for patch in bands)
    plots.plt.close(fig)


def test_a_certainty_at_one_size_is_refused():
    one = certainty(Brief(rotor_diameter="10 mm", gap_floor="20 um +/- 5 um"), draws=1000)
    fig, ax = plots.figure()
    with pytest.raises(ValueError, match="made: got a certainty at one size"):
        plot_probability(ax, one)
    plots.plt.close(fig)


def test_bars_are_the_indices_largest_first(made):
    fig, ax = plots.figure()
    plot_sensitivity(ax, made.sensitivity)
    names = [label.get_text() for label in ax.get_yticklabels()]
    order = sorted(made.sensitivity, key=lambda name: -made.sensitivity[name].total)
    assert names == [name.replace("_", " ") for name in order]
    for column, bars in enumerate(ax.containers):
        assert [bar.get_width() for bar in bars] == [max(made.sensitivity[name][column], 0.0) for name in order]
    assert len({bars[0].get_hatch() for bars in ax.containers}) == 2
    with pytest.raises(ValueError, match="sensitivity: got none"):
        plot_sensitivity(ax, {})
    plots.plt.close(fig)
