"""The waves of a winding of sectors, against a discrete Fourier transform and sums that are known."""

import csv
import json

import numpy as np
import pytest
from repository import ROOT

from scaling.field import sector_harmonics

SIXTHS = np.arange(6) * np.pi / 3
WIDTH = np.pi / 4
THREE_PHASES = {"middles": SIXTHS, "widths": WIDTH, "current_densities": 1e6 * np.exp(-1j * SIXTHS)}
ONE_PHASE = {"middles": [0.0, np.pi], "widths": WIDTH, "current_densities": [1e6, -1e6]}
UNEVEN = {  # five sectors of three widths, currents of any phase
    "middles": [0.3, 1.1, 2.0, 3.9, 5.6],
    "widths": [0.2, 0.5, 0.4, 0.5, 0.2],
    "current_densities": [1e6, 2e5 - 3e5j, -2e6 + 1e6j, (-0.5 * (2e5 - 3e5j) - 0.4 * (-2e6 + 1e6j)) / 0.5, -1e6],
}


def signed(waves):
    """Return {n: peak}, n below zero for waves that turn backward."""
    return dict(zip((waves.pole_pairs * waves.sense).tolist(), waves.current_density_peak.tolist(), strict=True))


def sampled(middles, widths, current_densities, points=1 << 16):
    """Return the phasor of the current density at the middles of equal steps round the circle."""
    angle = (np.arange(points) + 0.5) * 2 * np.pi / points
    total = np.zeros(points, complex)
    for middle, width, J in zip(*np.broadcast_arrays(middles, widths, current_densities), strict=True):
        total += J * (np.abs((angle - middle + np.pi) % (2 * np.pi) - np.pi) < width / 2)
    return total


@pytest.mark.parametrize("winding", [THREE_PHASES, ONE_PHASE, UNEVEN], ids=["three phases", "one phase", "uneven"])
def test_waves_are_those_of_a_discrete_transform(winding):
    # Wave exp(-j*n*theta): line -n of the transform. Edges off by half a step of 1e-4 rad in widths of 0.2 and more.
    lines = np.abs(np.fft.fft(sampled(**winding))) / (1 << 16)
    found = signed(sector_harmonics(**winding))
    for n in {*range(-25, 26)} - {0}:
        assert found.get(n, 0.0) == pytest.approx(lines[-n], abs=5e-4 * lines.max())


@pytest.mark.parametrize("winding", [THREE_PHASES, UNEVEN], ids=["three phases", "uneven"])
def test_squares_add_up_to_the_mean_square_round_the_circle(winding):
    # Parseval. What is left above order N is at most (sum of |jumps|/(2*pi))² * 2/N, and one of 400 is 0.2 % here.
    waves = sector_harmonics(**winding, highest=400)
    J, widths = np.broadcast_arrays(winding["current_densities"], winding["widths"])
    mean = np.sum(np.abs(J) ** 2 * widths) / (2 * np.pi)
    missing = 1 - np.sum(waves.current_density_peak**2) / mean
    jumps = np.sum(2 * np.abs(J))
    assert 0 < missing < (jumps / (2 * np.pi)) ** 2 * 2 / 400 / mean < 0.05


def test_three_phases_leave_waves_that_turn_in_turns():
    waves = signed(sector_harmonics(**THREE_PHASES))
    assert list(waves) == [1, -5, 7, -11, 13, -17, 19, -23, 25]
    for n, peak in waves.items():
        assert peak == pytest.approx(6e6 / (abs(n) * np.pi) * abs(np.sin(n * WIDTH / 2)), rel=1e-12)


def test_one_phase_makes_every_odd_wave_both_ways():
    waves = signed(sector_harmonics(**ONE_PHASE))
    assert list(waves) == [n * sense for n in range(1, 26, 2) for sense in (1, -1)]
    for n, peak in waves.items():
        assert peak == pytest.approx(2e6 / (abs(n) * np.pi) * abs(np.sin(n * WIDTH / 2)), rel=1e-12)


def test_full_sectors_of_one_phase_are_a_square_wave():
    waves = sector_harmonics(middles=[0.0, np.pi], widths=np.pi, current_densities=[1.0, -1.0], highest=9)
    forward = waves.current_density_peak[waves.sense == 1]
    assert forward == pytest.approx(2 / (np.pi * np.arange(1, 10, 2)), rel=1e-12)


def test_turning_the_winding_changes_no_wave_and_exchanging_phases_turns_all_back():
    waves = signed(sector_harmonics(**THREE_PHASES))
    turned = sector_harmonics(**THREE_PHASES | {"middles": SIXTHS + 0.7})
    assert signed(turned) == pytest.approx(waves, rel=1e-9)
    back = sector_harmonics(**THREE_PHASES | {"current_densities": np.conj(THREE_PHASES["current_densities"])})
    assert signed(back) == pytest.approx({-n: peak for n, peak in waves.items()}, rel=1e-9)


@pytest.mark.parametrize(
    ("changed", "error", "message"),
    [
        ({"widths": 0.0}, ValueError, "widths: got 0"),
        ({"middles": "six"}, TypeError, "middles: got 'six'"),
        ({"middles": [0.0, 1.0]}, ValueError, "current_densities: got shape"),
        ({"current_densities": 1e6}, ValueError, "do not add up to zero"),
        ({"current_densities": np.nan}, ValueError, "current_densities: got nan"),
        ({"highest": 0}, ValueError, "highest: got 0"),
        ({"highest": 401}, ValueError, "highest: got 401"),
        ({"highest": 2.5}, ValueError, "highest: got 2.5"),
        ({"highest": True}, ValueError, "highest: got True"),
    ],
)
def test_what_cannot_be_is_refused(changed, error, message):
    with pytest.raises(error, match=message):
        sector_harmonics(**THREE_PHASES | changed)


# The benchmark in notebook 12


def typed(name):
    """Return the head and the rows of a table of the notebooks."""
    lines = (ROOT / "notebooks" / "data" / f"published_{name}.csv").read_text(encoding="utf-8").splitlines()
    head, *rows = csv.reader(line for line in lines if not line.startswith("#"))
    return head, rows


def held(name):
    return json.loads((ROOT / "tests" / "published" / f"{name}.json").read_text(encoding="utf-8"))


def cells(rows):
    return [[str(cell) for cell in row] for row in rows]


@pytest.mark.parametrize("name", ["team_30a_rings", "team_30a_sectors"])
def test_the_notebook_has_the_motor_of_the_published_checks(name):
    head, rows = typed(name)
    record = held(f"records/{name}")
    units = record["units"]
    assert head == [column if units[column] == "1" else f"{column} [{units[column]}]" for column in record["columns"]]
    assert rows == cells(record["data"])


def test_the_notebook_has_the_points_of_the_published_checks():
    names = ("at_rest", "running", "loss_at_400", "single_phase_slow", "single_phase_40", "single_phase")
    head, rows = typed("team_30a_points")
    assert head == ["exciter", "quantity", "speed", "expected"]
    assert sorted(rows) == sorted(row for name in names for row in cells(held(f"team_30a_{name}")["data"]))
