"""Fields of travelling and of rotating currents in a stack of layers or rings: skin effect, thick gaps, any iron.

    from scaling.field import Layer, travelling_wave

    wave = travelling_wave(pole_pitch=0.1, frequency=50, gap=0.003, sheet_current_peak=5e4, slip=0.05,
                           layers=[Layer(thickness=0.001, conductivity=3.5e7)], behind_rotor="iron")
    wave.shear_stress, wave.normal_stress, wave.gap_field_peak, wave.heat, wave.heat_by_layer
    wave.field_at(x, y)

    from scaling.field import Ring, rotating_wave

    wave = rotating_wave(pole_pairs=1, frequency=60, speed=350.0, outside="iron", sheet_current_peak=5e4,
                         rings=[Ring(outer_radius=0.03, conductivity=3.7e7, turns=True), Ring(outer_radius=0.032)])
    wave.torque_per_length, wave.heat, wave.heat_by_ring, wave.eccentric_pull().along
    wave.field_at(r, theta)

    from scaling.field import sector_harmonics

    waves = sector_harmonics(middles=[0.0, np.pi], widths=np.pi / 4, current_densities=[1e6, -1e6])
    waves.pole_pairs, waves.sense, waves.current_density_peak    # for rotating_wave, whose results add up

SI numbers or arrays; all arguments, the fields of the layers and rings included, broadcast against each other.
"""

from scaling.models.rotating_wave import Ring, RingPoints, RotatingWave, rotating_wave
from scaling.models.travelling_wave import FieldPoints, Layer, TravellingWave, travelling_wave
from scaling.models.windings import Harmonics, sector_harmonics

__all__ = [
    "FieldPoints",
    "Harmonics",
    "Layer",
    "Ring",
    "RingPoints",
    "RotatingWave",
    "TravellingWave",
    "rotating_wave",
    "sector_harmonics",
    "travelling_wave",
]
