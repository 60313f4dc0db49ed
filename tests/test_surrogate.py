"""Polynomial surrogates and Sobol' indices on functions with known answers."""

import itertools

import numpy as np
import pytest
from scipy import stats

from scaling.models.surrogate import LARGEST, Surrogate, powers, products, sobol_indices, terms


def points(inputs, count, seed=1):
    return 2 * stats.qmc.Sobol(inputs, rng=np.random.default_rng(seed)).random(count).T - 1


@pytest.mark.parametrize(("inputs", "degree"), [(1, 4), (2, 3), (3, 2), (6, 2), (4, 0)])
def test_products_are_all_of_a_total_degree_at_most_low_ones_first(inputs, degree):
    every = [each for each in itertools.product(range(degree + 1), repeat=inputs) if sum(each) <= degree]
    made = powers(inputs, degree)
    assert sorted(made) == sorted(every) and len(made) == terms(inputs, degree)
    assert [sum(each) for each in made] == sorted(sum(each) for each in made)
    assert made[: terms(inputs, max(degree - 1, 0))] == powers(inputs, max(degree - 1, 0))


def test_products_are_orthogonal_over_the_cube():
    at, weight = np.polynomial.legendre.leggauss(6)
    grid = np.array([np.ravel(axis) for axis in np.meshgrid(at, at, indexing="ij")])
    weights = np.ravel(np.outer(weight, weight))
    basis = products(grid, 3)
    overlap = (basis * weights) @ basis.T
    np.testing.assert_allclose(overlap - np.diag(np.diag(overlap)), 0.0, atol=1e-12)
    expected = [np.prod([2 / (2 * k + 1) for k in each]) for each in powers(2, 3)]
    np.testing.assert_allclose(np.diag(overlap), expected)


@pytest.mark.parametrize("inputs", [1, 2, 3, 4])
def test_polynomials_up_to_the_degree_tried_are_met_exactly(inputs):
    rng = np.random.default_rng(inputs)
    chosen = [each for each in powers(inputs, LARGEST) if rng.random() < 0.5]
    weights = rng.normal(size=len(chosen))

    def function(x):
        return sum(w * np.prod(x.T**each, axis=1) for w, each in zip(weights, chosen, strict=True))

    at, elsewhere = points(inputs, 256), points(inputs, 512, seed=2)
    made = Surrogate(at, function(at))
    np.testing.assert_allclose(made(elsewhere)[0], function(elsewhere), atol=1e-10)
    assert made.error[0] < 1e-10


@pytest.mark.parametrize("kinks", [False, True])
def test_the_error_of_points_left_out_is_what_leaving_them_out_gives(kinks):
    at = points(2, 32)
    values = np.abs(at[0] - 0.3) + 0.3 * at[1]
    made = Surrogate(at, values, kinks=kinks)
    assert np.any(made.weights[0, :32]) == kinks  # distances follow the kink better, where they may
    used = np.flatnonzero(made.weights[0, 32:]).max() + 1
    basis = products(at, LARGEST)[:used]
    cubes = np.linalg.norm(at[:, :, None] - at[:, None], axis=0) ** 3
    for i in range(0, 32, 5):
        rest = np.arange(32) != i
        P = basis[:, rest]
        if kinks:
            system = np.block([[cubes[np.ix_(rest, rest)], P.T], [P, np.zeros((used, used))]])
            found = np.linalg.solve(system, np.concatenate([values[rest], np.zeros(used)]))
            told = found @ np.concatenate([cubes[rest, i], basis[:, i]])
        else:
            told = np.linalg.lstsq(P.T, values[rest], rcond=None)[0] @ basis[:, i]
        assert made.left_out[0, i] == pytest.approx(told, abs=1e-8)
    assert made.error[0] == pytest.approx(np.sqrt(np.mean((made.left_out[0] - values) ** 2)))


def test_with_distances_known_points_are_met_and_kinks_followed_better():
    at, elsewhere = points(2, 128), points(2, 1024, seed=2)

    def function(x):
        return np.maximum(x[0], 0.4 * x[1])

    error = {}
    for kinks in (False, True):
        made = Surrogate(at, function(at), kinks)
        error[kinks] = np.sqrt(np.mean((made(elsewhere)[0] - function(elsewhere)) ** 2))
    np.testing.assert_allclose(made(at)[0], function(at), atol=1e-8)
    assert error[True] < 0.6 * error[False]


def test_the_error_told_is_the_error_found_elsewhere():
    at, elsewhere = points(3, 128), points(3, 4096, seed=3)

    def function(x):
        return np.exp(0.7 * x[0]) * np.abs(x[1] - 0.2) + 0.2 * x[2]

    made = Surrogate(at, function(at))
    found = np.sqrt(np.mean((made(elsewhere)[0] - function(elsewhere)) ** 2))
    assert 0.6 < made.error[0] / found < 1.6


def test_noise_is_not_followed_by_a_high_degree():
    at = points(4, 128)
    noisy = at[0] + 0.3 * np.random.default_rng(5).normal(size=128)
    made = Surrogate(at, noisy)
    assert not made.weights[0, :128].any() and np.flatnonzero(made.weights[0, 128:])[-1] < terms(4, 1)


def test_outputs_with_missing_values_are_fitted_on_the_rest():
    at = points(2, 64)
    values = np.array([at[0], np.where(at[1] > 0, at[0] * at[1], np.nan), np.full(64, np.nan)])
    made = Surrogate(at, values)
    elsewhere = points(2, 128, seed=4)
    np.testing.assert_allclose(made(elsewhere)[:2], [elsewhere[0], elsewhere[0] * elsewhere[1]], atol=1e-10)
    assert np.isnan(made(elsewhere)[2]).all() and np.isnan(made.error[2])
    np.testing.assert_allclose(made.taken([1])(elsewhere)[0], made(elsewhere)[1], atol=1e-12)


def test_outside_the_known_range_the_end_is_taken():
    at = points(1, 32)
    made = Surrogate(at, at[0] ** 3)
    np.testing.assert_allclose(made(np.array([[-9.0, 9.0]])), [[-1.0, 1.0]], atol=1e-10)


# Saltelli et al., Computer Physics Communications 181 (2010) 259: the function of Ishigami with a = 7, b = 0.1.
ISHIGAMI = {"first": (0.314, 0.442, 0.0), "total": (0.558, 0.442, 0.244)}


def test_sobol_indices_of_the_ishigami_function_are_the_published_ones():
    def ishigami(x):
        return np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])

    first, total = sobol_indices(ishigami, [stats.uniform(-np.pi, 2 * np.pi)] * 3, 4096, seed=1)
    np.testing.assert_allclose(first[0], ISHIGAMI["first"], atol=5e-3)
    np.testing.assert_allclose(total[0], ISHIGAMI["total"], atol=5e-3)


def test_sobol_indices_of_a_sum_are_the_shares_of_variance():
    weights, deviations = np.array([1.0, 2.0, 0.5]), np.array([0.3, 0.1, 0.4])
    given = [stats.norm(0.0, d) for d in deviations]
    shares = (weights * deviations) ** 2 / np.sum((weights * deviations) ** 2)
    both = sobol_indices(lambda x: np.stack([weights @ x, x[1]]), given, 2048, seed=2)
    for index in both:
        np.testing.assert_allclose(index, [shares, [0, 1, 0]], atol=5e-3)


def test_an_output_that_does_not_vary_blames_nothing_and_a_single_input_is_all_to_blame():
    for constant in (0.0, 1.1, 1e9 / 3):
        first, total = sobol_indices(lambda x, c=constant: c + 0 * x[0], [stats.uniform()] * 2, 256, seed=3)
        assert not first.any() and not total.any()
    first, total = sobol_indices(lambda x: x[0] ** 2, [stats.uniform()], 256, seed=3)
    assert first.tolist() == total.tolist() == [[1.0]]
    assert not np.any(sobol_indices(lambda x: 0 * x[0] + 1.1, [stats.uniform()], 256, seed=3))


def test_the_same_seed_gives_the_same_indices():
    def run(seed):
        return sobol_indices(lambda x: x[0] * x[1], [stats.uniform()] * 2, 256, seed)

    np.testing.assert_array_equal(run(4), run(4))
    assert not np.array_equal(run(4), run(5))
