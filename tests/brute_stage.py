"""What all rotors of the dense search stand in: stator, winding, cooling, friction and what rotor parts stand.

Written afresh from the physics, as a check of the package's optimum. Of `scaling` it takes tables of materials, slot
ripple, the stress of ribs, and the friction of bearings under a load; nothing else.
"""

import functools
from types import SimpleNamespace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import strength, supply
from scaling.models.friction import bearing_torque
from scaling.models.iron import field_strength

MU_0, STEFAN_BOLTZMANN, GRAVITY = VALUES["mu_0"], VALUES["sigma_SB"], VALUES["g_n"]


def shape(si, p):
    """Return lengths, areas, mass and inertia of the stage for an array of pole pairs, pitches at the bore."""
    s, D = SimpleNamespace(p=p), si.rotor_diameter
    s.D, s.L = D, si.active_length
    s.g = max(si.gap_floor, si.gap_ratio * D)
    s.D_b = D + 2 * s.g
    s.tau = np.pi * s.D_b / (2 * p)
    s.k = np.pi / s.tau
    whole = np.pi * s.D_b / (6 * p)  # slot pitch with one slot per pole and phase
    s.q = np.where(whole / si.slots_per_pole_and_phase >= si.slot_pitch_floor, si.slots_per_pole_and_phase, 1)
    s.pitch = whole / s.q
    s.opening = si.slot_opening_ratio * s.pitch
    s.carter = carter(s.pitch, s.opening, s.g)
    s.plane_gap = s.D_b / 2 * np.log(s.D_b / D)
    s.magnetic_gap = s.carter * s.D_b / 2 * np.log(s.D_b / D)  # as a plane of the same pole pitch has it
    s.D_o = si.outside_ratio * (D + 2 * s.g)
    s.slot = si.slot_depth_ratio * D
    s.yoke = s.D_o / 2 - D / 2 - s.g - s.slot
    s.ends = si.end_turn_ratio * s.tau / s.L
    s.overhang = si.end_overhang_ratio * s.tau + si.end_clearance_ratio * D
    s.overall = s.L + 2 * s.overhang
    s.widest_ring = np.minimum(si.end_ring_ratio * D, s.overhang)
    s.bore = np.pi * s.D_b * s.L
    s.outside = np.pi * s.D_o * s.overall + 2 * np.pi * (s.D_o / 2) ** 2
    s.volume = np.pi * (s.D_o / 2) ** 2 * s.overall
    s.slot_width = (1 - si.tooth_share) * s.pitch
    s.copper, s.wire, can_be_wound = wires(si, s.slot_width, s.slot)
    s.copper_volume = s.bore / s.pitch * s.copper * (1 + s.ends)
    s.tooth_volume = s.bore * s.slot * si.tooth_share
    s.yoke_volume = np.pi * ((s.D_o / 2) ** 2 - (s.D_o / 2 - s.yoke) ** 2) * s.L
    s.rotor_mass = materials.CORE_DENSITY * np.pi * (D / 2) ** 2 * s.L
    s.mass = (
        s.rotor_mass
        + materials.CORE_DENSITY * si.stacking_factor * (s.tooth_volume + s.yoke_volume)
        + materials.CONDUCTORS[si.conductor].density * s.copper_volume
    )
    s.inertia = s.rotor_mass * (D / 2) ** 2 / 2
    s.deepest = np.minimum(si.rotor_depth_ratio * D, D / (2 * p))
    s.lip = max(si.slot_pitch_floor / 2, si.rib_ratio * D)  # iron between a slot and the gap, on either side
    given = np.inf if si.gap_field_limit is None else si.gap_field_limit
    s.tooth_limit = si.tooth_field_limit * si.tooth_share * si.stacking_factor
    s.other_limit = np.minimum(given, si.yoke_field_limit * si.stacking_factor * s.yoke * np.pi / s.tau)
    s.B_limit = np.minimum(s.tooth_limit, s.other_limit)
    s.back = (1 - si.turning_share) / (1 + si.turning_share) if si.supply == "single-phase" else 0.0
    s.fits = (whole >= si.slot_pitch_floor) & can_be_wound
    return s


def bare(overall):
    """Return the conductor of a wire of an overall diameter, grade 1."""
    build, size = materials.ENAMEL["u_e"], materials.ENAMEL["d_e"]
    return overall - build * overall / (1 + overall**2 / size**2) ** 0.25


def wires(si, width, depth):
    """Return (copper of a slot in square metres, conductor of its wire or 0, whether it can be wound)."""
    if si.slot_fill is not None:
        assert si.conductors_per_slot is None, "a share and a number: in no case of the dense search"
        return si.slot_fill * width * depth, 0.0 * width, True
    narrow = np.minimum(width, depth)
    if si.winding == "etched":
        film = materials.ETCHED["film"]
        lining = film if si.slot_liner is None else si.slot_liner
        room = (width - 2 * lining) * (depth - 2 * lining)
        number = np.minimum(room / 4 / si.etched_space**2, materials.ETCHED["conductors"])
        side = np.sqrt(room / number)
        return number * (side - si.etched_space) * (side - film), 0.0 * width, (narrow > 2 * lining) & (number >= 1)
    usual = np.clip(materials.LINER_SHARE * narrow, materials.THINNEST_LINER, materials.SLOT_LINER)
    lining = np.minimum(usual, narrow / 4) if si.slot_liner is None else si.slot_liner
    across, down = width - 2 * lining, (1 - materials.WEDGE) * depth - 2 * lining
    cells = np.where((across > 0) & (down > 0), across * down, np.nan) * si.wire_packing  # of round cross sections
    asked = si.conductors_per_slot
    overall = np.sqrt(cells / (materials.USUAL_CONDUCTORS if asked is None else asked) * 4 / np.pi)
    if asked is None:
        overall = np.minimum(np.minimum(overall, np.minimum(across, down)), si.thickest_wire)
        finest = si.thinnest_wire * np.geomspace(1, 2, 20001)  # of enamel no more than as much again
        overall = np.maximum(overall, np.interp(si.thinnest_wire, bare(finest), finest))
    number = cells / (np.pi * overall**2 / 4)
    fine = (overall <= np.minimum(across, down)) & (bare(overall) >= si.thinnest_wire * (1 - 1e-6)) & (number >= 1)
    return number * np.pi / 4 * bare(overall) ** 2, bare(overall), fine


DENSITY = np.linspace(0, 4, 8001)
STRENGTH = field_strength(DENSITY)
UNDER_SINE = np.array([np.mean(field_strength(B * np.sin((np.arange(200) + 0.5) / 400 * np.pi))) for B in DENSITY])


def iron(si, s, B, inner=None, share=None, top=None):
    """Return the current sheet that magnetises stator and rotor iron along the crest of a gap field.

    `inner` is the radius of the rotor's core, None without; bars of a share leave teeth from there to the surface.
    """
    B, k_s = abs(B), si.stacking_factor

    def yoke(height, mean):
        return mean * np.pi / (4 * s.p) * np.interp(B * s.D_b / (2 * s.p) / height / k_s, DENSITY, UNDER_SINE)

    turns = s.slot * np.interp(B / si.tooth_share / k_s, DENSITY, STRENGTH)
    turns = turns + yoke(s.yoke, s.D_o - s.yoke)
    if inner is not None:
        turns = turns + yoke(inner, inner)
    if share is not None:
        for place, weight in zip(*np.polynomial.legendre.leggauss(6), strict=True):
            r = inner + (s.D / 2 - inner) * (1 + place) / 2
            density = B * s.D_b / 2 / r / (1 - share) / k_s
            turns = turns + weight / 2 * (s.D / 2 - inner) * np.interp(density, DENSITY, STRENGTH)
    return s.k * turns


def with_iron(A, B, extra):
    """Return (current sheet, field, of real iron), turned so that the sheet is real; ``extra`` lies along the field."""
    whole = A + extra * 1j * B / abs(B)
    return abs(whole), B * np.conj(whole) / abs(whole)


def largest(most, over):
    """Return the largest current sheet up to one that is not over a limit; ``over`` rises and is 1 at the limit."""
    low, high = 0.02 * most, most
    at_high = over(high)
    fine = at_high <= 1
    for _ in range(11):
        middle = np.sqrt(low * high)
        too_much = over(middle) > 1
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    a, b = over(low), over(high)  # straight between the last two, on logarithms
    part = np.clip(np.log(a) / (np.log(a) - np.log(b)), 0, 1)
    return np.where(fine, most, low * (high / low) ** part)


def carter(pitch, opening, g):
    """Return Carter's coefficient of slots."""
    u = opening / (2 * g)
    lost = 4 / np.pi * (u * np.arctan(u) - np.log(np.sqrt(1 + u * u))) * g
    return pitch / (pitch - lost)


def core_limit(si, s, t):
    """Return the gap field at which the rotor's core below a layer is full: half a pole's flux through its depth."""
    return si.yoke_field_limit * si.stacking_factor * (s.D / 2 - t) * np.pi / s.tau


def barriers(si, s, most, share):
    """Return (rib, number of barriers, whether they can be cut); fewer than asked for, if the brief names a number."""
    rib = np.maximum(si.rib_floor, si.rib_ratio * s.D)
    room = np.floor((np.pi * s.D / (2 * s.p) * np.minimum(share, 1 - share) / rib - 1) / 2)
    count = np.minimum(room, most)
    whole = (count >= 2) & (s.p >= 2) & ((count == most) | (si.barriers is not None))
    return rib, np.maximum(count, 1), whole


def rim_speed(kind, si, s, material, share):
    """Return the rim speed that brief and parts allow; of barriers the number stands for the material."""

    def ring(name, coefficient=1.0):
        part = materials.STRENGTHS[name]
        return np.sqrt(part.proof_stress / part.density / coefficient) / si.overspeed

    sheet = ring("electrical sheet", 3.3 / 4)
    if kind == "induction":
        parts = np.minimum(np.array([ring(name) for name in materials.CONDUCTORS])[material], sheet)
    elif kind == "hysteresis":
        parts = np.array([ring(m.strength) for m in materials.LOOP_MATERIALS.values()])[material]
    elif kind == "magnet":  # pull of a segment on its glued inner face
        inner, density = s.D / 2 - s.deepest, materials.STRENGTHS[si.magnet].density
        pull = density * ((s.D / 2) ** 3 - inner**3) / 3 / inner / (s.D / 2) ** 2
        parts = np.sqrt(materials.BOND_STRENGTH / pull) / si.overspeed
    else:
        rib, count, _ = barriers(si, s, material, share)
        angle = strength.rib_half_angle(p=np.maximum(s.p, 2), n_b=count)
        pull = strength.rib_pull_coefficient(beta_r=angle, kappa_b=share, n_b=count, D=s.D, t_r=rib)
        parts = np.where(material > 0, np.minimum(sheet, ring("electrical sheet", pull)), sheet)
    return si.rim_speed_limit if si.sleeved else np.minimum(si.rim_speed_limit, parts)


def resistivity(name, si):
    """Return a conductor's resistivity when hot."""
    metal = materials.CONDUCTORS[name]
    hot = si.ambient + si.temperature_rise - materials.T_20
    return (1 + metal.temperature_coefficient * hot) / metal.conductivity


def winding_heat(si, s, f, A):
    """Return Joule heat of the winding in watts for a peak linear current density, eddies of its wires included."""
    rho = resistivity(si.conductor, si)
    rms_density = A / (np.sqrt(2) * si.winding_factor) * s.pitch / s.copper
    # A wire's dipole moment in the slot's cross field, which rises from nothing at the bottom to the whole slot's.
    top = MU_0 * np.sqrt(2) * s.copper / s.slot_width  # field over the slot at a density of one
    eddies = (2 * np.pi * f * top * s.wire) ** 2 / (32 * rho) / 3
    in_slots = rho + np.where(s.wire > 0, eddies, 0.0)
    return (in_slots + rho * s.ends) / (1 + s.ends) * rms_density**2 * s.copper_volume * (1 + s.back**2)


@functools.cache
def differential_leakage(q):
    """Return the differential leakage of a full-pitch winding: fields of all harmonics over the fundamental's."""
    nu = np.arange(1, 200_000, 2)
    nu = nu[nu % 3 > 0]  # three phases leave no others
    factor = np.sin(nu * np.pi / 6) / (q * np.sin(nu * np.pi / (6 * q)))
    return float(np.sum((factor[1:] / (nu[1:] * factor[0])) ** 2))


@functools.cache
def carried():
    """Return (forces, shares across lips, shares by the gap): fundamentals of fluxes that saturate at a force of 1.

    Added up over the time of a sinusoidal current; by the gap also over the ways in which teeth of both sides stand to
    each other, each way's flux linked with its part of the current.
    """
    force, time = np.geomspace(0.5, 1e3, 800), np.sin((np.arange(400) + 0.5) * np.pi / 800)
    ways = (np.arange(100) + 0.5) / 100
    lips = [2 * np.mean(np.minimum(u * time, 1.0) * time) / u for u in force]
    linked = [np.minimum(u * np.outer(time, ways), 1.0) @ ways / np.sum(ways**2) for u in force]
    return force, np.array(lips), np.array([2 * np.mean(one * time) / u for one, u in zip(linked, force, strict=True)])


def tips_left(current, opening, gap, pitch):
    """Return what saturation at 2 T leaves of leakage by the peak current of a slot: across lips, and by the gap."""
    force, *shares = carried()
    left = []
    for way_in_air, whole, share in ((opening, pitch, shares[0]), (2 * gap, 2 * gap + pitch, shares[1])):
        after = way_in_air / whole  # as steeply the flux rises beyond
        left.append(after + (1 - after) * np.interp(MU_0 * current / way_in_air / 2.0, force, share))
    return left


def leakage(si, s, f, A, g_m, left=(1.0, 1.0)):
    """Return the reactive power of slots, tooth tips, end turns and harmonics of the field in watts.

    So many slots, each with its current; bundles of a pole and phase outside. ``left`` is what saturation leaves of
    lips and gap.
    """
    in_slot = A / (np.sqrt(2) * si.winding_factor) * s.pitch
    slots, bundles, way = np.pi * s.D_b / s.pitch, 6 * s.p, s.g / s.opening
    # The mouth of a slot, less what the harmonics of steps in Carter's gap hold already.
    mouth = (np.arctan(1 / (2 * way)) * 2 * way + np.log(1 + 4 * way**2) / 2 - np.log(4)) / np.pi
    slot = s.slot / (3 * (1 - si.tooth_share) * s.pitch) + left[0] * s.lip / s.opening + left[1] * mouth
    ends = MU_0 * si.end_leakage * si.end_turn_ratio * s.tau
    q = slots * in_slot**2 * MU_0 * slot * s.L + bundles * (in_slot * slots / bundles) ** 2 * ends
    sigma = np.where(s.q == 1, differential_leakage(1), differential_leakage(int(si.slots_per_pole_and_phase)))
    harmonics = left[1] * sigma * MU_0 / np.tanh(s.k * g_m) * A**2 / 2 * 2 * f * s.tau * s.bore
    return (2 * np.pi * f * q + harmonics) * (1 + s.back**2)


def is_solid(kind, si):
    """Return whether a rotor's surface is solid: rings and magnets usually are, sheet is not."""
    return kind in ("hysteresis", "magnet") if si.rotor_surface == "usual" else si.rotor_surface == "solid"


def surface_heat(kind, si, s, f, B, conductivity, permeability):
    """Return the heat of the slot ripple in a solid rotor surface in watts, at synchronous speed."""
    if not is_solid(kind, si):
        return 0.0
    k, v = 2 * np.pi / s.pitch, 2 * f * s.tau
    ripple = supply.slot_ripple(tau_u=s.pitch, b_u=s.opening, g=s.g, k_C=s.carter) * abs(B)
    mu = MU_0 * permeability
    gamma = np.sqrt(k**2 + 1j * k * v * mu * conductivity)
    along = 1j * gamma * ripple / (k * mu)  # field strength that goes with the normal field at the surface
    return np.abs(np.real(np.conj(along) * ripple)) / 2 * v / 2 * s.bore  # half: the gap field itself is a wave


def core_heat(si, s, f, B):
    """Return core heat in watts for a peak gap field: teeth and yoke, each at its own flux density."""
    iron = si.stacking_factor
    tooth_field, yoke_field = B / (si.tooth_share * iron), B * s.tau / (np.pi * s.yoke * iron)
    weight = materials.CORE_DENSITY * iron * (s.tooth_volume * tooth_field**2 + s.yoke_volume * yoke_field**2)
    specific = si.core_building_factor * si.core_loss / materials.LOSS_FIELD**2
    return specific * (f / materials.LOSS_FREQUENCY) ** 1.5 * weight + rings(si, s, f, B)


def rings(si, s, f, B):
    """Return the heat of shading rings in watts, each of the resistance with which most of the field turns."""
    if si.shaded_share is None:
        return 0.0
    open_part, shaded = np.cos(np.pi * si.shaded_share / 2), np.sin(np.pi * si.shaded_share / 2)
    lag = np.arctan(1 / open_part)
    unit = np.pi**2 / 8 * B**2 / (open_part**2 + shaded**2 * np.cos(lag) ** 2)  # square of the open part's density
    flux = np.sqrt(unit) * np.cos(lag) * si.shaded_share * s.tau * s.L
    permeance = MU_0 * si.shaded_share * s.tau * s.L / s.magnetic_gap
    return 2 * s.p * np.pi * f * flux**2 * np.tan(lag) / permeance


def air(si):
    """Return (conductivity, kinematic viscosity, density) of air at film temperature, Sutherland's law."""
    a, T = materials.AIR, si.ambient + si.temperature_rise / 2
    rise = (T / a["T_0"]) ** 1.5
    conductivity = a["lambda_0"] * rise * (a["T_0"] + a["T_lambda"]) / (T + a["T_lambda"])
    density = a["p_a"] / (a["R_a"] * T)
    return conductivity, a["eta_0"] * rise * (a["T_0"] + a["T_eta"]) / (T + a["T_eta"]) / density, density


PLACES, WEIGHTS = np.polynomial.legendre.leggauss(400)
ANGLES = (1 + PLACES) * np.pi / 2
# What boundary layers pass up half of a round side of unit radius and length, and up a disc of unit radius in strips.
ROUND_SIDE = np.sum(WEIGHTS * np.pi / 2 * np.sin(ANGLES) ** (1 / 3)) ** 0.75
DISC = np.sum(WEIGHTS * np.pi / 2 * np.sin(ANGLES) * (2 * np.sin(ANGLES)) ** 0.75)


def resting(s):
    """Return the shape factor of the outside in a medium at rest [m], Yovanovich's fit for cylinders."""
    slender = s.overall / s.D_o
    return (3.1915 + 2.7726 * slender**0.76) * np.sqrt(s.outside / (1 + 2 * slender))


def still(si, s):
    """Return natural convection from the outside in watts per kelvin: of a short body or of a long cylinder."""
    conductivity, viscosity, _ = air(si)
    prandtl, film = materials.AIR["Pr"], si.ambient + si.temperature_rise / 2
    per_cube = GRAVITY / film * si.temperature_rise / viscosity**2 * prandtl  # Rayleigh number over length cubed
    layers = 2 * s.overall * (s.D_o / 2) ** 0.75 * ROUND_SIDE + 2 * (s.D_o / 2) ** 1.75 * DISC
    layers = layers * 0.67 / (1 + (0.5 / prandtl) ** (9 / 16)) ** (4 / 9) * per_cube**0.25
    rayleigh = per_cube * s.D_o**3  # Churchill and Chu 1975
    nusselt = (0.6 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    return conductivity * np.maximum(resting(s) + layers, nusselt / s.D_o * s.outside)


def cooling(si, s, speed):
    """Return the coefficient of heat transfer of the outside at a rotor speed."""

    def across(conductivity, viscosity, prandtl):  # Churchill and Bernstein 1977
        reynolds = si.coolant_speed * s.D_o / viscosity
        rise = (1 + (reynolds / 282000) ** (5 / 8)) ** (4 / 5)
        slope = 0.62 * reynolds**0.5 * prandtl ** (1 / 3) / (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25
        return (0.3 + slope * rise) * conductivity / s.D_o

    if not isinstance(si.cooling, str):
        return si.cooling
    if si.cooling == "conduction":
        return si.medium_conductivity * resting(s) / s.outside
    if si.cooling == "water":
        return across(
            *(np.interp(si.ambient, materials.WATER["T"], materials.WATER[n]) for n in ("lambda_f", "nu_f", "Pr"))
        )
    conductivity, viscosity, _ = air(si)
    prandtl, hot = materials.AIR["Pr"], si.ambient + si.temperature_rise
    radiation = si.emissivity * STEFAN_BOLTZMANN * (hot**4 - si.ambient**4) / si.temperature_rise
    moving = 0.0
    if si.cooling == "forced air":
        moving = across(conductivity, viscosity, prandtl)
    if si.cooling == "shaft fan":  # plate along the flow, whichever boundary layer passes more
        reynolds = si.fan_speed_ratio * speed * s.D / 2 * s.overall / viscosity
        plate = np.maximum(0.664 * reynolds**0.5, 0.037 * reynolds**0.8) * prandtl ** (1 / 3)
        moving = plate * conductivity / s.overall
    return si.fin_factor * ((still(si, s) / s.outside) ** 3 + moving**3) ** (1 / 3) + radiation


def fan(si, s, speed):
    """Return the torque that a fan on the shaft takes: a stream of air through the outside's section, all lost."""
    if si.cooling != "shaft fan":
        return 0.0 * speed
    _, _, density = air(si)
    wind = si.fan_speed_ratio * speed * s.D / 2
    return si.fan_loss_coefficient * (density * wind * np.pi * (s.D_o / 2) ** 2) * wind**2 / 2 / speed


def heat_allowed(si, s, speed):
    """Return what the outside passes in watts."""
    return cooling(si, s, speed) * si.temperature_rise * s.outside


def bearing(si, s, speed, B, g_m):
    """Return the friction torque of the bearings under weight and side pull of a gap field."""
    pull = np.pi * s.D * s.L * B**2 * si.eccentricity / (4 * MU_0) * s.plane_gap / g_m * np.where(s.p > 1, 1.0, 0.5)
    return bearing_torque(si, s.D, s.rotor_mass * GRAVITY, pull, speed)


def friction(si, s, speed, B, g_m):
    """Return the friction torque of bearing and air."""
    _, viscosity, density = air(si)
    reynolds = speed * s.D / 2 * s.g / viscosity
    narrow = (s.g / (s.D / 2)) ** 0.3
    coefficient = np.max(
        [4 / reynolds, 1.03 * narrow / reynolds**0.5 + 0 * speed, 0.065 * narrow / reynolds**0.2 + 0 * speed], axis=0
    )
    return bearing(si, s, speed, B, g_m) + coefficient * np.pi / 2 * density * speed**2 * (s.D / 2) ** 4 * s.L
