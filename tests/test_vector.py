"""Figures as SVG inside a page: fewer points draw the same."""

import numpy as np

from scaling.pictures import vector


def test_fewer_points_draw_the_same_line():
    turn = np.linspace(0.0, 7.0, 3000)
    line = np.column_stack([100 + 60 * np.cos(turn), 100 + 40 * np.sin(2 * turn)])
    kept = vector._bends(line)
    starts, ways = kept[:-1], np.diff(kept, axis=0)
    part = np.einsum("pij,ij->pi", line[:, None] - starts, ways) / np.sum(ways**2, axis=1)
    nearest = starts + np.clip(part, 0.0, 1.0)[..., None] * ways
    aside = np.hypot(*np.moveaxis(line[:, None] - nearest, -1, 0)).min(axis=1)
    assert len(kept) < 0.1 * len(line) and aside.max() <= vector.STRAIGHT * (1 + 1e-9)


def test_what_lies_beyond_an_edge_is_left_out_and_what_crosses_stays():
    walk = [(-9.0, 5.0), (-50.0, 50.0), (-9.0, 60.0), (50.0, 60.0), (-9.0, 70.0)]
    assert vector._seen(walk, 100.0, 100.0).tolist() == [list(walk[0]), *map(list, walk[2:])]


def test_a_hatchs_dot_keeps_its_place_and_width():
    curves = "".join(f"C {x} {y} {x} {y} {x} {y}\n" for x, y in [(8, 12), (8, 11), (7, 11), (7, 10), (6, 11), (6, 12),
                                                                  (6.5, 12), (7, 12)])  # fmt: skip
    circle = vector._DOT.sub(vector._circle, f"M 7 12\n{curves}z")
    assert circle == "M7 12a1 1 0 1 0 0 -2a1 1 0 1 0 -0 2z"
