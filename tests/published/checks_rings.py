"""Published checks of the field in concentric rings: an open benchmark of an induction motor."""

import math

import numpy as np
import records

from scaling.field import Ring, rotating_wave, sector_harmonics


def rotor_under_sectors(exciter, quantity, speed):
    """Return torque or loss of the rotor per length, the harmonics of the winding added up."""
    sectors = [row for row in records.rows("team_30a_sectors") if row["exciter"] == exciter]
    middle, width, phase = (np.radians([row[name] for row in sectors]) for name in ("middle", "width", "phase"))
    waves = sector_harmonics(middles=middle, widths=width, current_densities=np.exp(1j * phase))
    rings = [
        Ring(
            outer_radius=1e-3 * row["outer_radius"],
            conductivity=row["conductivity"],
            relative_permeability=row["relative_permeability"],
            turns=bool(row["turns"]),
            current_density_peak=1e4 * math.sqrt(2) * row["current_density"] * waves.current_density_peak,
        )
        for row in records.rows("team_30a_rings")
    ]
    wave = rotating_wave(
        pole_pairs=waves.pole_pairs, sense=waves.sense, frequency=60, speed=speed, rings=rings, outside="air"
    )
    found = {"torque": wave.torque_per_length, "rotor loss": wave.heat, "loss in steel": wave.heat_by_ring[0]}
    found["power taken"] = found["torque"] * speed + found["rotor loss"]
    return found[quantity].sum()


CHECKS = {rotor_under_sectors.__name__: rotor_under_sectors}
