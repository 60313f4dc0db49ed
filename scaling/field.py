"""The field of a travelling current sheet in a stack of layers: skin effect, thick gaps, any iron behind.

    from scaling.field import Layer, travelling_wave

    wave = travelling_wave(pole_pitch=0.1, frequency=50, gap=0.003, sheet_current_peak=5e4, slip=0.05,
                           layers=[Layer(thickness=0.001, conductivity=3.5e7)], behind_rotor="iron")
    wave.shear_stress, wave.normal_stress, wave.gap_field_peak, wave.heat, wave.heat_by_layer
    wave.field_at(x, y)

SI numbers or arrays; all arguments, the fields of the layers included, broadcast against each other.
"""

from scaling.models.travelling_wave import FieldPoints, Layer, TravellingWave, travelling_wave

__all__ = ["FieldPoints", "Layer", "TravellingWave", "travelling_wave"]
