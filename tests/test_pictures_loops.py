"""Pictures of loops and of the steel that suits a size: what is drawn is read back."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from scaling.ground.materials import LOOP_MATERIALS
from scaling.models.loops import falling_branch, fitted
from scaling.pictures import plots
from scaling.pictures.loops import APART, plot_coercivities, plot_loops


@pytest.fixture
def axes():
    plots.use_style()
    return Figure(figsize=(8, 4), layout="constrained").subplots()


def test_loops_are_drawn_in_kiloampere_per_metre(axes):
    loop = fitted(LOOP_MATERIALS["cast iron"])
    H = np.linspace(2e3, -2e3, 21)
    curves = {"falling": (H, falling_branch(H, 2e3, loop)), "rising": (-H, -falling_branch(H, 2e3, loop))}
    assert plot_loops(axes, curves) is axes
    drawn = {line.get_label(): line.get_xydata() for line in axes.lines if not line.get_label().startswith("_")}
    assert list(drawn) == list(curves)
    for name, (field, flux) in curves.items():
        assert drawn[name] == pytest.approx(np.column_stack([field / 1e3, flux]))
    dashes = [line._dash_pattern for line in axes.lines[2:]]
    assert dashes[0] != dashes[1], "readable without colour"


def test_coercivities_are_drawn_and_named(axes):
    names = {"a": 1e3, "b": 4.1e3, "c": 5.2e3, "d": 5.6e3}
    series = {"still air": [1e3, 4.1e3, 5.6e3], "fan": [4.1e3, 5.2e3, 5.6e3]}
    plot_coercivities(axes, [1, 10, 100], series, names)
    for line, values in zip(axes.lines, series.values(), strict=True):
        assert line.get_ydata() == pytest.approx(np.array(values) / 1e3)
    assert [text.get_text() for text in axes.texts] == list(names)
    heights = [text.xyann[1] for text in axes.texts]
    assert np.all(np.diff(heights) > 0.99 * APART), "names keep apart, in the order of the coercivities"
    low, high = np.log(axes.get_ylim())
    for text, H_c in zip(axes.texts, names.values(), strict=True):
        assert low + text.xy[1] * (high - low) == pytest.approx(np.log(H_c / 1e3)), "the leader points at the value"
