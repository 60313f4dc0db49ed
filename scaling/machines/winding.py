"""The stator's winding: copper in its slots, its resistance, its heat."""

import numpy as np

from scaling.ground import materials
from scaling.laws import stator as stator_laws
from scaling.laws import wire


def resistivity(conductor, si, temperature=None):
    """Return a conductor's resistivity [ohm·m], at the winding's mean temperature if none is given [K]."""
    return stator_laws.resistivity_at(
        sigma_20=conductor.conductivity,
        alpha_20=conductor.temperature_coefficient,
        T=si.ambient + si.temperature_rise if temperature is None else temperature,
        T_20=materials.T_20,
    )


def copper(si, pitch, depth):
    """Return (copper share of the slot layer, conductor diameter, whether it can be wound).

    The share of the slots is as given, or what enamel, liner and packing leave.
    """
    if si.conductors_per_slot is None:
        layer = wire.layer_copper_share(phi_n=si.slot_fill, phi_t=si.tooth_share)
        return np.broadcast_to(layer, depth.shape), np.full(depth.shape, np.nan), np.full(depth.shape, True)
    slot = {"w_u": wire.slot_width(tau_u=pitch, phi_t=si.tooth_share), "d_s": depth, "t_i": si.slot_liner}
    room = wire.wire_room(**slot)
    overall = wire.overall_diameter(k_p=si.wire_packing, S_n=room, z_s=si.conductors_per_slot)
    share = wire.wire_copper_share(d_i=overall, **materials.ENAMEL)
    fill = wire.slot_copper_share(k_p=si.wire_packing, phi_w=share, **slot)
    conductor = wire.conductor_diameter(d_i=overall, phi_w=share)
    narrowest = np.minimum(slot["w_u"], depth) - 2 * si.slot_liner
    layer = np.where(room > 0, wire.layer_copper_share(phi_n=fill, phi_t=si.tooth_share), np.nan)
    return layer, conductor, (conductor >= si.thinnest_wire) & (overall <= narrowest)


def slot_fill(stator):
    """Return the copper over the area of the slots."""
    return stator.copper_share / (1.0 - stator.si.tooth_share)


def winding_heat_factor(stator, frequency):
    """Return the winding's heat per gap area over the square of the forward loading, both waves' currents counted."""
    si = stator.si
    rho = resistivity(materials.CONDUCTORS[si.conductor], si)
    made = {"e": stator.end_share, "k_w": si.winding_factor, "phi_s": stator.copper_share, "d_s": stator.slot_depth}
    factor = stator_laws.winding_heat_factor(rho=rho * _alternating(stator, frequency, rho), **made)
    return factor * (1.0 + stator.backward**2)


def _alternating(stator, frequency, rho):
    """Return the resistance factor of the winding's wires in their slots; 1 where no wire is given."""
    if stator.si.conductors_per_slot is None:
        return 1.0
    depth = wire.skin_depth(rho=rho, f=frequency)
    return wire.strands_resistance_factor(
        d_w=stator.wire_diameter, phi_n=slot_fill(stator), d_s=stator.slot_depth, delta=depth
    )
