"""The pull on a rotor out of centre: limits, and rotors displaced by a finite distance."""

import numpy as np
import pytest
from displaced_rotor import energy, force
from hypothesis import given, settings
from ring_stacks import ALUMINIUM, GAP, MOTOR, MOTOR_RINGS, MU_0, STEEL, WINDING, changed_ring, solve, stacks

from scaling.field import Ring, RotatingWave


@pytest.fixture(autouse=True)
def no_floating_point_trouble():
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        yield


def under_sheet(*rings, p, bore=0.06, stator=(), **changed):
    """Return the wave of a sheet of 10 kA/m on the bore around a rotor."""
    case = {"pole_pairs": p, "frequency": 50.0, "speed": 100 * np.pi / np.asarray(p), "outside": "iron"}
    given = {"sheet_current_peak": 1e4, "sheet_radius": bore}
    return solve(*rings, Ring(bore), *stator, **case | given | changed)


# Limits


@pytest.mark.parametrize(("p", "share"), [(1, 0.5), (2, 1.0), (5, 1.0)])
def test_a_thin_gap_between_iron_gives_the_classical_pull(p, share):
    """Pressure B²/(4*mu_0)*(1 + 2*e/gap*cos) over the bore; a cos**2 that mode 0 would carry half of at p = 1.

    The rest is of first order in the gap over the radius: it falls by ten each time, down to 1e-8, so nothing cancels.
    """
    radius, error = 0.05, []
    for thin in (1e-3, 1e-4, 1e-5, 1e-6):
        gap, bore = thin * radius, (1 + thin) * radius
        B = MU_0 * 1e4 * bore / (p * gap)
        pull = under_sheet(Ring(radius, 0.0, 1e15, True), p=p, bore=bore).eccentric_pull()
        error.append(pull.along / (share * np.pi * radius * B**2 / (2 * MU_0 * gap)) - 1)
    assert abs(error[0]) < 1e-3
    assert np.divide(error[:-1], error[1:]) == pytest.approx(10, rel=0.02)


@pytest.mark.parametrize("p", [2, 3, 7])
def test_in_air_a_perfect_conductor_is_pushed_as_hard_as_ideal_iron_is_drawn(p):
    """The image of the sheet alone: pi/2*mu_0*A²*(p - 1)*(b/R)²*(R/b)**(2*p), either sign."""
    radius, bore = 0.05, 0.06
    image = np.pi / 2 * MU_0 * 1e4**2 * (p - 1) * (radius / bore) ** (2 * p - 2)
    iron = under_sheet(Ring(radius, 0.0, 1e12, True), p=p, outside="air").eccentric_pull()
    # A skin depth of 1e-8 of the radius: so much is left of the field.
    conductor = under_sheet(Ring(radius, 1e20, 1.0, True), p=p, outside="air", frequency=1e3).eccentric_pull()
    assert iron.along == pytest.approx(image, rel=1e-10) and iron.across == 0
    assert conductor.along == pytest.approx(-image, rel=1e-6)
    assert abs(conductor.across) < 1e-6 * image
    assert under_sheet(Ring(radius, 0.0, 1e12, True), p=1, outside="air").eccentric_pull().along == 0


def test_eddy_currents_turn_the_pull_into_a_push_and_aside_on_the_way():
    rings = Ring(0.045, 0.0, 1e3, True), Ring(0.05, 3.7e7, 1.0, True)
    frequency = np.array([1e-4, 1.0, 10.0, 1e3, 1e9])
    wave = under_sheet(*rings, p=3, outside="air", frequency=frequency, speed=0.0)
    along, across = wave.eccentric_pull()
    assert along[0] > 0 > along[-1] and (np.diff(along) < 0).all()
    # Dragged along by the wave that turns past it, most in between.
    assert (across > 0).all() and across[[0, -1]] == pytest.approx(0, abs=1e-3 * across.max())


def test_no_pull_on_air_or_without_current_and_four_times_under_twice_of_it():
    assert under_sheet(Ring(0.05, turns=True), p=3).eccentric_pull() == (0, 0)
    wave = solve(sheet_current_peak=0.0, rings=[STEEL, ALUMINIUM, GAP, changed_ring(WINDING, current_density_peak=0)])
    assert wave.eccentric_pull() == (0, 0)
    once, twice = (under_sheet(STEEL, ALUMINIUM, p=2, sheet_current_peak=A).eccentric_pull() for A in (1e4, 2e4))
    assert once.across != 0 and twice == pytest.approx(4 * np.array(once), rel=1e-14)


@pytest.mark.parametrize("stator", [(), (Ring(0.07, relative_permeability=30.0),)])
def test_idle_iron_is_drawn_straight_out_whirling_or_not(stator):
    mu, whirl = np.array([[1.5], [30.0], [1e4]]), np.array([0.0, 157.0, -1e3])
    rotor = Ring(0.03, 0.0, 5.0, True), Ring(0.05, 0.0, mu, True)
    for outside in ("iron", "air"):
        along, across = under_sheet(*rotor, p=2, stator=stator, outside=outside).eccentric_pull(whirl)
        assert (along > 0).all() and (across == 0).all() and along.shape == (3, 3)
        assert (along == along[:, :1]).all()


def test_a_mirrored_machine_is_pulled_to_the_mirrored_side():
    one, other = solve(pole_pairs=2, speed=70.0), solve(pole_pairs=2, speed=-70.0, sense=-1)
    along, across = one.eccentric_pull(30.0)
    assert other.eccentric_pull(-30.0) == (along, -across) and across != 0


@given(stacks())
@settings(max_examples=200)
def test_halved_rings_are_the_whole(stack):
    """Rotor, gap and can: what is in between is found by other ports; powers over many decades stay finite."""
    stack["rings"][0] = changed_ring(stack["rings"][0], turns=True)
    rings, parted, inner = stack["rings"], [], 0.0
    for ring in rings:
        if inner:
            parted.append(changed_ring(ring, outer_radius=(inner + ring.outer_radius) / 2))
        parted.append(ring)
        inner = ring.outer_radius
    last = max(i for i, ring in enumerate(rings) if ring.turns)
    wave, halved = solve(**stack), np.array(solve(**stack | {"rings": parted}).eccentric_pull(11.0))
    whole = np.array(wave.eccentric_pull(11.0))
    assert np.isfinite(whole).all()
    # A rotor almost of air answers with a difference of numbers almost alike: rounded beside what iron would feel.
    p, radius = wave.pole_pairs, wave._radii[last]
    rounded = 6e-14 * p**2 * np.abs(wave._a[last]) ** 2 / (MU_0 * radius * (wave._radii[last + 1] - radius))
    assert halved == pytest.approx(whole, rel=0, abs=1e-11 * np.hypot(*whole) + (p + 1) * rounded)


# Finite displacements


IDLE = [(1, 0.8, 5.0), (2, 0.8, 5.0), (3, 0.95, 1e3), (2, 0.99, 1e6), (3, 0.7, 0.5)]


@pytest.mark.parametrize(("p", "radius", "mu"), IDLE)
def test_the_pull_on_an_idle_rotor_is_the_slope_of_the_energy(p, radius, mu):
    """Second differences of the energy, one step of Richardson: their error is of fourth order in step over gap."""

    def curvature(step):
        rest, out = (energy(p, e, radius, mu) for e in (0.0, step))
        return 2 * (out - rest) / step**2

    step = 0.02 * (1 - radius)
    pull = under_sheet(Ring(radius, 0.0, mu, True), p=p, bore=1.0).eccentric_pull()
    by_energy = MU_0 * 1e4**2 * (4 * curvature(step / 2) - curvature(step)) / 3
    assert pull.along == pytest.approx(by_energy, rel=3e-7)
    assert pull.across == 0


@pytest.mark.parametrize(
    ("p", "sense", "speed", "whirl", "rotor"),
    [
        (1, 1, 100.0, 0.0, (5e6, 1.0)),
        (2, 1, 100.0, 0.0, (5e6, 1.0)),
        (3, -1, -60.0, 0.0, (5e6, 40 - 20j)),
        (2, 1, 100.0, 100.0, (5e6, 10.0)),
        (3, 1, 200.0, 370.0, (3e7, 1.0)),
        (2, -1, 90.0, 170.0, (5e6, 10.0)),
    ],
)
def test_a_conducting_rotor_displaced_by_a_finite_distance_feels_the_same_pull(p, sense, speed, whirl, rotor):
    """Fields matched on the displaced circle: the difference falls with the square of the displacement.

    The stator conducts and lags, too; at 2.4 times the bore the field in it has died away.
    """
    radius, bore, stator = 0.05, 0.06, (5e6, 20 - 5j)
    drive = {"sense": sense, "frequency": 50.0, "speed": speed}
    wave = under_sheet(Ring(radius, *rotor, True), p=p, stator=(Ring(0.144, *stator),), **drive)
    pull = np.array(wave.eccentric_pull(whirl))
    size = np.hypot(*pull)
    displaced = {"radius": radius, "bore": bore, "rotor": rotor, "stator": stator, "sheet": 1e4, "whirl": whirl}
    once, twice = (force(pole_pairs=p, **drive, **displaced, displacement=e) for e in (5e-4, 1e-3))
    assert np.abs(pull).min() > 0.05 * size  # both parts are put to the test
    assert np.hypot(*(once - pull)) < 2e-3 * size
    assert np.hypot(*(twice - pull)) / np.hypot(*(once - pull)) == pytest.approx(4, rel=0.03)
    assert (4 * once - twice) / 3 == pytest.approx(pull, abs=2e-5 * size)


# Arrays and bad input


def test_broadcasting_is_looping_and_nan_passes():
    speeds, whirls, poles = np.array([0.0, 100.0, np.nan]), np.array([[0.0], [50.0]]), np.array([1, 2]).reshape(2, 1, 1)
    wave = RotatingWave(**MOTOR | {"rings": MOTOR_RINGS, "speed": speeds, "pole_pairs": poles})
    along, across = wave.eccentric_pull(whirls)
    assert along.shape == across.shape == (2, 2, 3)
    assert np.isnan(along[..., 2]).all() and np.isnan(across[..., 2]).all()
    for i, j, k in np.ndindex(2, 2, 2):
        one = solve(speed=speeds[k], pole_pairs=poles[i, 0, 0]).eccentric_pull(whirls[j, 0])
        assert np.ndim(one.along) == 0
        assert (along[i, j, k], across[i, j, k]) == pytest.approx(tuple(one), rel=1e-12)
    sigma = np.array([1e6, np.nan, 0.0])
    wave = RotatingWave(**MOTOR | {"rings": [Ring(0.02, sigma, turns=True), GAP, WINDING]})
    assert np.isnan(wave.eccentric_pull().along).tolist() == [False, True, False]


def test_an_empty_bore_may_stand_still_or_turn():
    hollow = [under_sheet(Ring(0.01, turns=turns), STEEL, p=2).eccentric_pull() for turns in (False, True)]
    assert hollow[0] == hollow[1] and hollow[0].along > 0


@pytest.mark.parametrize(
    ("rings", "sheet_radius", "words"),
    [
        ([Ring(0.02), GAP, WINDING], None, "rings: got none that turns"),
        ([Ring(0.01, 0.0, 30.0), STEEL, GAP, WINDING], None, r"rings\[0\].turns: got False inside rings\[1\]"),
        ([Ring(0.01, current_density_peak=1e6), Ring(0.011), STEEL], None, r"rings\[0\].turns: got False inside"),
        ([STEEL, ALUMINIUM, Ring(0.032, 1e3), WINDING], None, r"rings\[2\]: got no gap around rings\[1\]"),
        ([STEEL, changed_ring(WINDING, outer_radius=0.03)], None, r"rings\[1\]: got no gap"),
        ([STEEL, ALUMINIUM], 0.02, "sheet_radius: got one on the rotor"),
        ([STEEL, ALUMINIUM, GAP], 0.03, "sheet_radius: got one on the rotor"),
        ([changed_ring(WINDING, turns=True)], None, r"rings\[1\]: got no gap around rings\[0\]"),
    ],
)
def test_a_rotor_that_cannot_be_displaced_is_told(rings, sheet_radius, words):
    sheet = {} if sheet_radius is None else {"sheet_current_peak": 1e4, "sheet_radius": sheet_radius}
    with pytest.raises(ValueError, match=words):
        solve(*rings, **sheet).eccentric_pull()


def test_a_bad_whirl_speed_is_told():
    with pytest.raises(TypeError, match="whirl_speed: got 'fast'; expected finite SI numbers"):
        solve().eccentric_pull("fast")
    with pytest.raises(ValueError, match=r"whirl_speed: got shape \(3,\); expected one that broadcasts with \(2,\)"):
        solve(speed=[0.0, 1.0]).eccentric_pull([0.0, 1.0, 2.0])
