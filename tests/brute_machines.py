"""One candidate machine at a time, in plain NumPy, for the dense search.

Written afresh from the physics, as a check of the package's optimum. Of `scaling` it takes tables of materials, slot
ripple, and permeances and rib stress of reluctance rotors, which are held against finite elements; nothing else.
"""

from types import SimpleNamespace

import numpy as np
from brute_loops import in_phase_figures, loop_figures

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import saliency, strength, supply

MU_0, STEFAN_BOLTZMANN, GRAVITY = VALUES["mu_0"], VALUES["sigma_SB"], VALUES["g_n"]
GAUSS = np.polynomial.legendre.leggauss(6)
SHALLOWEST = 1e-3  # thinnest sheet or ring tried, as a part of the deepest
THIN_RINGS = 30  # into which a layer is cut


# The stage


def shape(si, p):
    """Return lengths, areas, mass and inertia of the stage for an array of pole pairs, pitches at the bore."""
    s, D = SimpleNamespace(p=p), si.rotor_diameter
    s.D, s.L = D, si.active_length
    s.g = max(si.gap_floor, si.gap_ratio * D)
    s.D_b = D + 2 * s.g
    s.tau = np.pi * s.D_b / (2 * p)
    s.k = np.pi / s.tau
    whole = np.pi * s.D_b / (6 * p)  # slot pitch with one slot per pole and phase
    fine = whole / si.slots_per_pole_and_phase
    s.pitch = np.where(fine >= si.slot_pitch_floor, fine, whole)
    u = si.slot_opening_ratio * s.pitch / (2 * s.g)
    lost = 4 / np.pi * (u * np.arctan(u) - np.log(np.sqrt(1 + u * u))) * s.g
    s.carter = s.pitch / (s.pitch - lost)
    s.magnetic_gap = s.carter * s.D_b / 2 * np.log(s.D_b / D)  # as a plane of the same pole pitch has it
    s.D_o = si.outside_ratio * (D + 2 * s.g)
    s.slot = si.slot_depth_ratio * D
    s.yoke = s.D_o / 2 - D / 2 - s.g - s.slot
    s.ends = si.end_turn_ratio * s.tau / s.L
    s.bore = np.pi * s.D_b * s.L
    s.outside = np.pi * s.D_o * s.L + 2 * np.pi * (s.D_o / 2) ** 2
    s.volume = np.pi * (s.D_o / 2) ** 2 * s.L
    s.copper_volume = s.bore * s.slot * si.slot_fill * (1 - si.tooth_share) * (1 + s.ends)
    s.tooth_volume = s.bore * s.slot * si.tooth_share
    s.yoke_volume = np.pi * ((s.D_o / 2) ** 2 - (s.D_o / 2 - s.yoke) ** 2) * s.L
    s.rotor_mass = materials.CORE_DENSITY * np.pi * (D / 2) ** 2 * s.L
    s.mass = (
        s.rotor_mass
        + materials.CORE_DENSITY * (s.tooth_volume + s.yoke_volume)
        + materials.CONDUCTORS[si.conductor].density * s.copper_volume
    )
    s.inertia = s.rotor_mass * (D / 2) ** 2 / 2
    s.deepest = np.minimum(si.rotor_depth_ratio * D, D / (4 * p))
    given = np.inf if si.gap_field_limit is None else si.gap_field_limit
    in_teeth = min(given, si.tooth_field_limit * si.tooth_share)
    s.B_limit = np.minimum(in_teeth, si.yoke_field_limit * s.yoke * np.pi / s.tau)
    s.back = (1 - si.turning_share) / (1 + si.turning_share) if si.supply == "single-phase" else 0.0
    s.fits = whole >= si.slot_pitch_floor
    return s


def rim_speed(kind, si, p, material):
    """Return the rim speed that brief and parts allow, for arrays of pole pairs and numbers of materials."""

    def ring(name, coefficient=1.0):
        part = materials.STRENGTHS[name]
        return np.sqrt(part.proof_stress / part.density / coefficient) / si.overspeed

    s, sheet = shape(si, p), ring("electrical sheet", 3.3 / 4)
    if kind == "induction":
        parts = np.minimum(np.array([ring(name) for name in materials.CONDUCTORS])[material], sheet)
    elif kind == "hysteresis":
        parts = np.array([ring(m.strength) for m in materials.LOOP_MATERIALS.values()])[material]
    elif kind == "magnet":  # pull of a segment on its glued inner face
        inner, density = s.D / 2 - s.deepest, materials.STRENGTHS[si.magnet].density
        pull = density * ((s.D / 2) ** 3 - inner**3) / 3 / inner / (s.D / 2) ** 2
        parts = np.sqrt(materials.BOND_STRENGTH / pull) / si.overspeed
    else:
        rib, share = np.maximum(si.rib_floor, si.rib_ratio * s.D), si.barrier_share
        tau = np.pi * s.D / (2 * p)
        count = np.maximum(np.minimum(np.floor((tau * min(share, 1 - share) / rib - 1) / 2), si.barriers), 1)
        angle = strength.rib_half_angle(p=np.maximum(p, 2), n_b=count)
        pull = strength.rib_pull_coefficient(beta_r=angle, kappa_b=share, n_b=count, D=s.D, t_r=rib)
        parts = np.where(material == 1, np.minimum(sheet, ring("electrical sheet", pull)), sheet)
    return si.rim_speed_limit if si.sleeved else np.minimum(si.rim_speed_limit, parts)


def resistivity(name, si):
    """Return a conductor's resistivity when hot."""
    metal = materials.CONDUCTORS[name]
    hot = si.ambient + si.temperature_rise - materials.T_20
    return (1 + metal.temperature_coefficient * hot) / metal.conductivity


def winding_heat(si, s, A):
    """Return Joule heat of the winding in watts for a peak linear current density."""
    rms_density = A / (np.sqrt(2) * si.winding_factor) / (si.slot_fill * (1 - si.tooth_share) * s.slot)
    return resistivity(si.conductor, si) * rms_density**2 * s.copper_volume * (1 + s.back**2)


def leakage(si, s, f, A):
    """Return the reactive power of slots and end turns: so many slots, and bundles of a pole and phase outside."""
    in_slot = A / (np.sqrt(2) * si.winding_factor) * s.pitch
    permeance = MU_0 * s.slot / (3 * (1 - si.tooth_share) * s.pitch) * s.L
    slots, bundles = np.pi * s.D_b / s.pitch, 6 * s.p
    ends = MU_0 * si.end_leakage * si.end_turn_ratio * s.tau
    q = slots * in_slot**2 * permeance + bundles * (in_slot * slots / bundles) ** 2 * ends
    return 2 * np.pi * f * q * (1 + s.back**2)


def surface_heat(si, s, f, B, conductivity, permeability):
    """Return the heat of the slot ripple in a solid rotor surface in watts, at synchronous speed."""
    if si.rotor_surface == "laminated":
        return 0.0
    k, v = 2 * np.pi / s.pitch, 2 * f * s.tau
    ripple = supply.slot_ripple(tau_u=s.pitch, b_u=si.slot_opening_ratio * s.pitch, g=s.g, k_C=s.carter) * abs(B)
    mu = MU_0 * permeability
    gamma = np.sqrt(k**2 + 1j * k * v * mu * conductivity)
    along = 1j * gamma * ripple / (k * mu)  # field strength that goes with the normal field at the surface
    return np.abs(np.real(np.conj(along) * ripple)) / 2 * v / 2 * s.bore  # half: the gap field itself is a wave


def core_heat(si, s, f, B):
    """Return core heat in watts for a peak gap field: teeth and yoke, each at its own flux density."""
    tooth_field, yoke_field = B / si.tooth_share, B * s.tau / (np.pi * s.yoke)
    weight = materials.CORE_DENSITY * (s.tooth_volume * tooth_field**2 + s.yoke_volume * yoke_field**2)
    specific = si.core_building_factor * si.core_loss / materials.LOSS_FIELD**2
    return specific * (f / materials.LOSS_FREQUENCY) ** 1.5 * weight


def air(si):
    """Return (conductivity, kinematic viscosity, density) of air at film temperature, Sutherland's law."""
    a, T = materials.AIR, si.ambient + si.temperature_rise / 2
    rise = (T / a["T_0"]) ** 1.5
    conductivity = a["lambda_0"] * rise * (a["T_0"] + a["T_lambda"]) / (T + a["T_lambda"])
    density = a["p_a"] / (a["R_a"] * T)
    return conductivity, a["eta_0"] * rise * (a["T_0"] + a["T_eta"]) / (T + a["T_eta"]) / density, density


def cooling(si, s, speed):
    """Return the coefficient of heat transfer of the outside at a rotor speed."""

    def across(conductivity, viscosity, prandtl):  # Churchill and Bernstein 1977
        reynolds = si.coolant_speed * s.D_o / viscosity
        rise = (1 + (reynolds / 282000) ** (5 / 8)) ** (4 / 5)
        slope = 0.62 * reynolds**0.5 * prandtl ** (1 / 3) / (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25
        return (0.3 + slope * rise) * conductivity / s.D_o

    if not isinstance(si.cooling, str):
        return si.cooling
    if si.cooling == "conduction":  # a sphere of the same surface
        return si.medium_conductivity / np.sqrt(s.outside / (4 * np.pi))
    if si.cooling == "water":
        return across(
            *(np.interp(si.ambient, materials.WATER["T"], materials.WATER[n]) for n in ("lambda_f", "nu_f", "Pr"))
        )
    conductivity, viscosity, _ = air(si)
    prandtl, film, hot = materials.AIR["Pr"], si.ambient + si.temperature_rise / 2, si.ambient + si.temperature_rise
    rayleigh = GRAVITY / film * si.temperature_rise * s.D_o**3 / viscosity**2 * prandtl
    nusselt = (0.6 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    radiation = si.emissivity * STEFAN_BOLTZMANN * (hot**4 - si.ambient**4) / si.temperature_rise
    still = nusselt * conductivity / s.D_o + radiation
    moving = 0.0
    if si.cooling == "forced air":
        moving = across(conductivity, viscosity, prandtl)
    if si.cooling == "shaft fan":  # plate along the flow, whichever boundary layer passes more
        reynolds = si.fan_speed_ratio * speed * s.D / 2 * s.L / viscosity
        plate = np.maximum(0.664 * reynolds**0.5, 0.037 * reynolds**0.8) * prandtl ** (1 / 3)
        moving = plate * conductivity / s.L
    return si.fin_factor * (still**3 + moving**3) ** (1 / 3)


def heat_allowed(si, s, speed):
    """Return what the outside passes in watts."""
    return cooling(si, s, speed) * si.temperature_rise * s.outside


def bearing(si, s):
    """Return the friction torque of the bearing."""
    return si.bearing_friction * s.rotor_mass * GRAVITY * si.bearing_diameter_ratio * s.D / 2


def friction(si, s, speed):
    """Return the friction torque of bearing and air."""
    _, viscosity, density = air(si)
    reynolds = speed * s.D / 2 * s.g / viscosity
    narrow = (s.g / (s.D / 2)) ** 0.3
    coefficient = np.max(
        [4 / reynolds, 1.03 * narrow / reynolds**0.5 + 0 * speed, 0.065 * narrow / reynolds**0.2 + 0 * speed], axis=0
    )
    return bearing(si, s) + coefficient * np.pi / 2 * density * speed**2 * (s.D / 2) ** 4 * s.L


# The rotors. Each takes free variables between 0 and 1, the last being the part of the largest loading, and returns
# a namespace with loading A, gap field B (complex: its phase against the current sheet), slip, and what else is free.


def spread(part, decades):
    """Return a part between 0 and 1 on a logarithmic scale ending at 1."""
    return 10.0 ** (decades * (part - 1.0))


def across(k, g, surface):
    """Return the complex field at the stator face per current sheet, g in front of a surface of an admittance."""
    return -1j * MU_0 * (np.cosh(k * g) + surface * np.sinh(k * g)) / (np.sinh(k * g) + surface * np.cosh(k * g))


def conducting_surface(si, s, slip_frequency, rho, t):
    """Return r*a'/(p*a) on a cage or sheet of a thickness, with end rings a pole pitch over pi wide, cut into rings."""
    filled, inner = si.bar_share if si.induction_rotor == "cage" else 1.0, s.D / 2 - t
    ends = 2 * filled / (2 * s.p / (s.D - t) * s.L)
    diffusion = 2j * np.pi * slip_frequency * MU_0 / (rho * (1 + ends))
    met = 0.0
    for number in range(THIN_RINGS):  # the torque of the current within a radius is carried outwards
        r = inner + (number + 0.5) / THIN_RINGS * t
        # Between teeth of ideal iron the field enters along the bars only.
        gamma = np.sqrt(diffusion + (0 if si.induction_rotor == "cage" else (s.p / r) ** 2))
        bend = np.tanh(gamma * t / THIN_RINGS)
        met = (met + r * gamma * bend) / (1 + met * bend / (r * gamma))
    return filled * met / s.p


def driven_ring(s, H, mu, t):
    """Return the complex current sheet and field at the stator face that go with a ring's mean square field."""
    inner, mean = s.D / 2 - t, 0.0

    def within(r):
        """Return potential and r times the field along the ring over p, from a potential 1 on the hub."""
        way = s.p * np.log(r / inner)
        return np.cosh(way) + mu * np.sinh(way), np.cosh(way) + np.sinh(way) / mu

    for place, weight in zip(*GAUSS, strict=True):
        r = inner + t * (1 + place) / 2
        a, h = within(r)
        mean = mean + weight / 2 * t * r * (abs(h) ** 2 + abs(a / mu) ** 2) / r**2
    (a, h), scale = within(s.D / 2), H / np.sqrt(mean / (t * (s.D - t) / 2))
    C, D, scale = np.cosh(s.k * s.magnetic_gap), np.sinh(s.k * s.magnetic_gap), 2 * scale / s.D_b
    A, B = scale * (h * C + a * D), MU_0 * scale * (a * C + h * D)
    return abs(A), -1j * B * abs(A) / A


def largest_loading(si, s, f, spare, per_A, back, slip_heat):
    """Return the loading at which heat or gap field reach their limit, all being proportional to it."""
    core = core_heat(si, s, f, abs(per_A)) + core_heat(si, s, f, abs(back))
    by_heat = np.sqrt(spare / (winding_heat(si, s, 1.0) + core + slip_heat))
    return np.minimum(by_heat, s.B_limit / (abs(per_A) + abs(back)))


def induction(si, s, f, spare, slip_range, material, u):
    """Return an induction rotor at any slip in range and, for a sheet, any thickness."""
    slip = np.clip(si.slip_limit * spread(u[0], 5), *slip_range)
    if si.induction_rotor == "cage":
        t, g = s.deepest, s.magnetic_gap * s.carter
    else:
        t = s.deepest * spread(u[1], -np.log10(SHALLOWEST))
        g = s.magnetic_gap
    rho = np.array([resistivity(m, si) for m in materials.CONDUCTORS])[material]

    def field(A, slip):
        return A * across(s.k, g, conducting_surface(si, s, f * slip, rho, t))

    def stress(A, slip):
        return np.real(-field(A, slip) * A) / 2

    speed = 2 * np.pi * f / s.k
    heat = slip * stress(1.0, slip) + (2 - slip) * stress(s.back, 2 - slip)
    facing = (5e6, 500.0) if si.induction_rotor == "cage" else (1 / rho, 1.0)
    ripple = (1 - slip) * surface_heat(si, s, f, field(1.0, slip), *facing)
    A = largest_loading(
        si, s, f, spare(slip), field(1.0, slip), field(s.back, 2 - slip), heat * speed * s.bore + ripple
    )
    A = A * spread(u[-1], 4)

    def starting():
        """Return the stress at rest, which costs half of the time and which most briefs do not ask for."""
        most = s.B_limit / abs(field(1.0, 1.0)) / (1 + s.back)
        return stress(np.minimum(A * more_at_rest(si, s, speed, field, slip), most), 1.0) * (1 - s.back**2)

    return SimpleNamespace(
        A=A,
        B=field(A, slip),
        back=field(s.back * A, 2 - slip),
        slip=slip,
        t=t,
        starting=starting,
        ripple=surface_heat(si, s, f, field(A, slip), *facing),
    )


def more_at_rest(si, s, speed, field, slip):
    """Return the current at rest over that at a slip, on one voltage: what the brief says, or less if it cannot be."""

    def impedance(slip):
        waves = -field(1.0, slip) - s.back * field(s.back, 2 - slip)
        return waves * speed + 2 * winding_heat(si, s, 1.0) / s.bore

    def ratio(leakage):
        return abs(impedance(slip) + 1j * leakage) / abs(impedance(1.0) + 1j * leakage)

    low, high = 0.0 * slip, 1e3 * abs(impedance(slip))
    for _ in range(45):
        middle = (low + high) / 2
        more = ratio(middle) > si.starting_current_ratio
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return np.minimum(ratio(low), si.starting_current_ratio)


def reluctance(si, s, f, spare, slip_range, material, u):
    """Return a reluctance rotor at any load angle: salient poles (0) or flux barriers with saturated ribs (1)."""
    g_m, share, barred = s.magnetic_gap, si.barrier_share, material == 1
    deepest, tau = s.D_b / 2 * np.log(s.D / (s.D - 2 * s.deepest)), np.pi * s.D / (2 * s.p)
    poles = {"alpha": si.pole_arc, "k": s.k, "g_m": g_m}
    h_d, h_q = (axis(h_p=deepest, **poles) for axis in (saliency.d_axis_depth, saliency.q_axis_depth))
    rib = np.maximum(si.rib_floor, si.rib_ratio * s.D)
    count = np.minimum(np.floor((tau * min(share, 1 - share) / rib - 1) / 2), si.barriers)
    possible = ~barred | ((count >= 2) & (s.p >= 2))
    count = np.maximum(count, 1)
    g_e = saliency.barrier_gap(g_m=g_m, tau=s.tau, n_b=count, kappa_b=share)
    P_d = saliency.barrier_d_axis_permeance(k=s.k, g_m=g_m, g_e=g_e)
    P_q = saliency.barrier_q_axis_permeance(k=s.k, g_e=g_e, n_b=count, kappa_b=share, P_d=P_d)
    P_d = np.where(barred, P_d, saliency.pole_d_axis_permeance(h_d=h_d, **poles))
    P_q = np.where(barred, P_q, saliency.pole_q_axis_permeance(h_q=h_q, **poles))
    past = np.where(barred, 4 * materials.RIB_FIELD * rib / s.tau * (1 - P_q / P_d), 0.0)
    limit = np.where(barred, np.minimum(s.B_limit, (1 - share) * si.yoke_field_limit * s.D / s.D_b), s.B_limit) / (
        1 + s.back
    )
    delta, spare = u[0] * np.pi / 2, spare(0.0)

    def gap_field(A):
        """Return the field of a current sheet on the two axes, turned back so that the sheet is real."""
        open_field = MU_0 / np.tanh(s.k * g_m) * A
        d, q = P_d * open_field * np.cos(delta), P_q * open_field * np.sin(delta)
        q = np.minimum(q + past, P_d * open_field * np.sin(delta))  # below it the ribs are not saturated: no saliency
        return -1j * (d + 1j * q) * np.exp(-1j * delta)

    def over(A):
        B = gap_field(A)
        heat = winding_heat(si, s, A) + core_heat(si, s, f, abs(B)) * (1 + s.back**2)
        return (heat + surface_heat(si, s, f, B, 5e6, 500.0) > spare) | (abs(B) > limit)

    low, high = 0.0, np.sqrt(spare / winding_heat(si, s, 1.0)) + 0 * delta
    for _ in range(40):
        middle = (low + high) / 2
        too_much = over(middle)
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    A = low * spread(u[-1], 4)
    B = np.where(possible, gap_field(A), np.nan)
    ripple = surface_heat(si, s, f, B, 5e6, 500.0)
    return SimpleNamespace(A=A, B=B, back=-1j * s.back * abs(B), slip=0.0, t=s.deepest, ripple=ripple)


def magnet(si, s, f, spare, slip_range, material, u):
    """Return a magnet rotor with any part of the field its thickest, widest magnet gives, in phase with the current."""
    grade, spare, inner = materials.MAGNETS[si.magnet], spare(0.0), s.D / 2 - s.deepest
    way = s.k * s.magnetic_gap + s.p * np.log(s.D / 2 / inner)
    sent = 0.0  # by a thin ring of magnetisation through the bore, summed up
    for place, weight in zip(*GAUSS, strict=True):
        r = inner + s.deepest * (1 + place) / 2
        sent = sent + weight / 2 * s.deepest * np.cosh(s.p * np.log(r / inner))
    most = 4 / np.pi * np.sin(si.magnet_arc * np.pi / 2) * grade.remanence * s.k * sent / np.sinh(way)
    B_m = most * u[0]
    own = MU_0 / np.tanh(way)
    per_square = core_heat(si, s, f, own) * (1 + s.back**2) + surface_heat(si, s, f, own, 0.7e6, 1.05)
    spare = spare - core_heat(si, s, f, B_m) - surface_heat(si, s, f, B_m, 0.7e6, 1.05)
    by_heat = spare / (winding_heat(si, s, 1.0) + per_square)
    by_field = ((s.B_limit / (1 + s.back)) ** 2 - B_m**2) / own**2
    A = np.sqrt(np.maximum(np.minimum(by_heat, by_field), 0.0)) * spread(u[-1], 4)
    B = -B_m - 1j * own * A
    ripple = surface_heat(si, s, f, B, 0.7e6, 1.05)
    return SimpleNamespace(A=A, B=B, back=-1j * own * s.back * A, slip=0.0, t=s.deepest, ripple=ripple)


def hysteresis(si, s, f, spare, slip_range, material, u):
    """Return a ring of any thickness at any field, the root mean square over its thickness, on a non-magnetic hub."""
    H, spare = 10.0 ** (7 * u[0]), spare(0.0)
    (_, energy), along = loop_figures(material, H), in_phase_figures(material, H)
    mu = 1 + (along - 1j * energy / (np.pi * H)) / (MU_0 * H)  # of the fundamental

    def over(t):
        A, B = driven_ring(s, H, mu, t)
        heat = winding_heat(si, s, A) + core_heat(si, s, f, abs(B)) * (1 + s.back**2)
        heat = heat + 2 * s.back**2 * np.real(-B * A) / 2 * 2 * np.pi * f / s.k * s.bore  # loops of the backward wave
        return (heat + surface_heat(si, s, f, B, 2e6, 5.0) > spare) | (abs(B) > s.B_limit / (1 + s.back))

    low, high = np.full(np.shape(H + spare), -12.0), np.zeros(np.shape(H + spare))
    for _ in range(34):  # to 2e-9 of the thickness
        middle = (low + high) / 2
        too_thick = over(s.deepest * 10.0**middle)
        low, high = np.where(too_thick, low, middle), np.where(too_thick, middle, high)
    t = s.deepest * 10.0 ** np.where(over(s.deepest), low, 0.0) * spread(u[-1], 4)
    A, B = driven_ring(s, H, mu, t)
    B = np.where(over(t * (1 - 1e-8)), np.nan, B)
    return SimpleNamespace(A=A, B=B, back=s.back * B, slip=0.0, t=t, ripple=surface_heat(si, s, f, B, 2e6, 5.0))


ROTORS = {f.__name__: f for f in (induction, hysteresis, reluctance, magnet)}
