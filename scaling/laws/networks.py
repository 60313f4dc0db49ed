"""Which formulas describe what: the network of every kind, over which exponents are derived.

They are the laws of thin gaps and layers. What the choice adds to them (wide gaps, fringing, ring and hub in layers)
depends on ratios of lengths only, and so changes no exponent as long as every length scales.
"""

from scaling.laws import circuits, forces, geometry, hysteresis, induction, magnet, reluctance, saliency
from scaling.laws import loop as loop_law
from scaling.laws import stator as stator_laws

_STAGE = (
    geometry.pole_pitch,
    geometry.wave_number,
    geometry.field_speed,
    geometry.slot_pitch,
    geometry.outside_diameter,
    geometry.end_overhang,
    geometry.overall_length,
    geometry.bore_area,
    geometry.outside_area,
    geometry.envelope_volume,
    geometry.end_winding_share,
    geometry.rotor_inertia,
    geometry.gap_torque,
    stator_laws.carter_coefficient,
    stator_laws.winding_loading,
    stator_laws.conductor_current_density,
    stator_laws.winding_heat_factor,
    stator_laws.winding_heat,
    stator_laws.heat_per_surface,
    forces.surface_heat,
)
_MOTION = (
    forces.force_per_volume,
    forces.acceleration,
    forces.travel_time,
    forces.power_per_volume,
    forces.conductor_heat_per_surface,
    forces.surface_heat,
)
_CURRENT = (forces.conductor_current, forces.current_field, forces.force_on_current, *_MOTION)
_INDUCED = (geometry.angular_frequency, forces.force_on_induced, forces.force_per_volume)
NETWORKS = {
    "induction": (
        *_STAGE,
        geometry.end_ring_share,
        stator_laws.rotor_carter_coefficient,
        stator_laws.cage_gap,
        stator_laws.shear_stress,
        stator_laws.rotor_heat,
        induction.surface_conductance,
        induction.goodness,
        induction.slip_goodness,
        induction.induction_response,
        induction.induction_gap_field,
    ),
    "reluctance": (
        *_STAGE,
        stator_laws.slotted_gap,
        stator_laws.shear_stress,
        saliency.interpolar_permeance,
        saliency.d_axis_permeance,
        saliency.q_axis_permeance,
        saliency.saliency_ratio,
        reluctance.reluctance_response,
        reluctance.reluctance_gap_field,
    ),
    "hysteresis": (*_STAGE, hysteresis.steinmetz_shear_stress),
    "magnet": (*_STAGE, stator_laws.slotted_gap, magnet.magnet_gap_field, magnet.magnet_shear_stress),
    "circuit": (geometry.angular_frequency, circuits.resistance, circuits.reluctance, circuits.circuit_goodness),
    "current on current": _CURRENT,
    "current on iron": (forces.conductor_current, forces.current_field, forces.force_of_field, *_MOTION),
    "magnet on current": (forces.conductor_current, forces.magnet_field, forces.force_on_current, *_MOTION),
    "magnet on magnet": (forces.magnet_field, forces.force_of_field, *_MOTION),
    "magnet on iron": (forces.magnet_field, forces.force_of_field, *_MOTION),
    "magnet on induced current": (forces.magnet_field, *_INDUCED),
    "current on induced current": (forces.conductor_current, forces.current_field, *_INDUCED),
}
REGIMES = {  # kind: {regime: (formulas it adds, symbols it keeps constant)}
    "hysteresis": {
        "loop open": ((), ("W_h",)),
        "loop closed": ((loop_law.rayleigh_energy, hysteresis.ring_field_without_flux), ()),
    }
}
