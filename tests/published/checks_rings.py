"""Published checks of the field in concentric rings: an open benchmark of an induction motor."""

import math

from scaling.field import Ring, rotating_wave

HARMONICS = [n for n in range(1, 26, 2) if n % 3]  # of six sectors of 45 degrees, a phase each, every 60 degrees
STACK = (  # from the centre: rotor steel, aluminium, gap
    Ring(outer_radius=0.020, conductivity=1.6e6, relative_permeability=30, turns=True),
    Ring(outer_radius=0.030, conductivity=3.72e7, turns=True),
    Ring(outer_radius=0.032),
)
STATOR_IRON = Ring(outer_radius=0.057, relative_permeability=30)


def rotor_under_six_sectors(quantity, speed, current_density):
    """Sum the harmonics of the winding: the n-th turns backward where n is 5, 11, 17 ..., forward where 7, 13 ..."""
    peak, total = math.sqrt(2) * 1e4 * current_density, 0.0
    for n in HARMONICS:
        density = 1.5 * peak * 4 / (n * math.pi) * abs(math.sin(n * math.pi / 8))
        winding = Ring(outer_radius=0.052, current_density_peak=density)
        sense = 1 if n % 6 == 1 else -1
        wave = rotating_wave(
            pole_pairs=n, frequency=60, speed=speed, rings=[*STACK, winding, STATOR_IRON], outside="air", sense=sense
        )
        parts = {"torque": wave.torque_per_length, "rotor loss": wave.heat, "loss in steel": wave.heat_by_ring[0]}
        total += float(parts[quantity])
    return total


CHECKS = {rotor_under_six_sectors.__name__: rotor_under_six_sectors}
