"""The stator's winding: copper in its slots, its resistance, its heat."""

from typing import NamedTuple

import numpy as np

from scaling.ground import materials
from scaling.laws import stator as stator_laws
from scaling.laws import wire
from scaling.models.thermal_parts import liner_thickness

_STEPS = 12  # of the enamel on a wire: each leaves a twentieth of the error


def resistivity(conductor, si, temperature=None):
    """Return a conductor's resistivity [ohm·m], at the winding's mean temperature if none is given [K]."""
    return stator_laws.resistivity_at(
        sigma_20=conductor.conductivity,
        alpha_20=conductor.temperature_coefficient,
        T=si.ambient + si.temperature_rise if temperature is None else temperature,
        T_20=materials.T_20,
    )


class Copper(NamedTuple):
    """What lies in a stator's slots, SI arrays of one shape.

    ``share`` is copper over the slot layer, teeth included, ``diameter`` that of a wire's conductor, ``wound`` whether
    it can be made; ``conductors`` a slot, each of so many ``strands``; ``liner`` the thickness of the slot's
    insulation. Of an etched coil and of a given share alone the wire is NaN; all is NaN where there is no room.
    """

    share: np.ndarray
    diameter: np.ndarray
    wound: np.ndarray
    conductors: np.ndarray
    strands: np.ndarray
    liner: np.ndarray


def copper(si, pitch, depth):
    """Return the Copper of slots of a pitch and a depth.

    The share of the slots is as given, or what liner, wedge, enamel and packing leave; etched, what spaces leave.
    """
    width = wire.slot_width(tau_u=pitch, phi_t=si.tooth_share)
    liner = _liner(si, width, depth)
    if si.winding == "etched":
        fill, *made = _etched(si, width, depth, liner)
    else:
        fill, *made = _wound(si, width, depth, liner)
    layer = wire.layer_copper_share(phi_n=fill, phi_t=si.tooth_share)
    return Copper(*(np.broadcast_to(each, depth.shape) for each in (layer, *made, liner)))


def _liner(si, width, depth):
    """Return the thickness of the insulation on a slot's walls: as given, or as it is made."""
    if si.slot_liner is not None:
        return si.slot_liner
    return materials.ETCHED["film"] if si.winding == "etched" else liner_thickness(np.minimum(width, depth))


def room_for_wires(si, width, depth, liner):
    """Return (room for wires, narrowest side of it) of a slot."""
    left = wire.wound_depth(d_s=depth, c_w=materials.WEDGE)
    return wire.wire_room(w_u=width, d_s=left, t_i=liner), np.minimum(width, left) - 2 * liner


def _wound(si, width, depth, liner):
    """Return (copper share of the slot, conductor diameter, whether it can be wound, conductors, strands)."""
    slot = {"w_u": width, "d_s": depth}
    number = si.conductors_per_slot
    if si.slot_fill is not None and number is None:  # says nothing of the wire
        return si.slot_fill, np.nan, True, np.nan, np.nan
    room, narrowest = room_for_wires(si, width, depth, liner)
    packed = {"k_p": si.wire_packing, "S_n": np.where(room > 0, room, np.nan)}
    if si.slot_fill is not None:
        conductor = wire.wire_of_share(phi_n=si.slot_fill, **slot, z_s=number)
        fits = (conductor >= si.thinnest_wire) & (conductor <= narrowest)
        return si.slot_fill, conductor, fits, number, 1.0
    overall = wire.overall_diameter(**packed, z_s=materials.USUAL_CONDUCTORS if number is None else number)
    if number is None:
        finest = over_enamel(si.thinnest_wire)
        overall = wire.usual_wire(d_i=overall, d_f=finest, d_m=si.thickest_wire, d_n=narrowest)
    share = wire.wire_copper_share(d_i=overall, **materials.ENAMEL)
    conductor = wire.conductor_diameter(d_i=overall, phi_w=share)
    fill, fits = wire.slot_copper_share(**packed, phi_w=share, **slot), overall <= narrowest
    if number is not None:
        return fill, conductor, fits & (conductor >= si.thinnest_wire), number, 1.0
    wires = wire.wires_in_slot(**packed, d_i=overall)
    fits = fits & (wires >= 1.0)
    conductors = np.minimum(wires, materials.USUAL_CONDUCTORS)
    made = (np.where(fits, each, np.nan) for each in (fill, conductor))
    return *made, fits, conductors, wires / conductors


def over_enamel(conductor):
    """Return the overall diameter of a wire of a conductor's diameter [m]."""
    overall = conductor
    for _ in range(_STEPS):
        share = wire.wire_copper_share(d_i=overall, **materials.ENAMEL)
        overall = wire.enamelled_diameter(d_w=conductor, phi_w=share)
    return overall


def _etched(si, width, depth, liner):
    """Return the same of an etched coil: (copper share of the slot, NaN, whether it can be made, conductors, 1)."""
    room = wire.wire_room(w_u=width, d_s=depth, t_i=liner)
    room = np.where(room > 0, room, np.nan)
    usual, number = materials.ETCHED["conductors"], si.conductors_per_slot
    most = wire.etched_conductors(z_u=usual if number is None else number, S_n=room, s_e=si.etched_space)
    fits = most >= (1.0 if number is None else number)
    conductors = most if number is None else number
    if si.slot_fill is not None:
        return si.slot_fill, np.nan, True, conductors, 1.0
    pitch = wire.etched_pitch(S_n=room, z_s=conductors)
    fill = wire.etched_copper_share(
        S_n=room, tau_e=pitch, s_e=si.etched_space, t_e=materials.ETCHED["film"], w_u=width, d_s=depth
    )
    return np.where(fits, fill, np.nan), np.nan, fits, conductors, 1.0


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
    """Return the resistance factor of the winding's wires in their slots; 1 of etched lines and where none is known."""
    si = stator.si
    if si.winding == "etched" or (si.slot_fill is not None and si.conductors_per_slot is None):
        return 1.0
    depth = wire.skin_depth(rho=rho, f=frequency)
    in_slots = wire.strands_resistance_factor(
        d_w=stator.wire_diameter, phi_n=slot_fill(stator), d_s=stator.slot_depth, delta=depth
    )
    return wire.winding_resistance_factor(k_R=in_slots, e=stator.end_share)


def bare_share(si):
    """Return the copper share of the slots of bare wires, packed as they are, without liners; of etched lines 1."""
    return 1.0 if si.winding == "etched" else si.wire_packing * (1.0 - materials.WEDGE)


def without_effect(si):
    """Return the names of the fields on wires and lines that a brief leaves without effect."""
    wires, lines = {"wire_packing", "thinnest_wire", "thickest_wire"}, {"etched_space"}
    if si.slot_fill is not None:
        return wires | lines
    return wires if si.winding == "etched" else lines
