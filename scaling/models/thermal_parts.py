"""The thermal resistances and heat capacities of a machine from its lengths; arrays broadcast, SI."""

from dataclasses import dataclass

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry, heat, thermal, wire
from scaling.laws import stator as stator_laws
from scaling.models.thermal_network import Network, Still

_TEMPERATURE = 373.15  # K, of the conductor where its heat conductivity is taken: it hardly depends on it
DENSEST = 0.907  # round wires side by side, over their room


@dataclass(frozen=True)
class Machine:
    """What the thermal network has to know of a machine, SI arrays; names as in `scaling.machines.stator.Stator`.

    ``copper_share`` is that of the slot layer; ``liner`` None is as it is made. ``air`` is (conductivity, kinematic
    viscosity, density) of the air inside, ``fluid`` that of what fills the gap.
    """

    width: np.ndarray
    bore: np.ndarray
    D: np.ndarray
    clearance: np.ndarray
    area: np.ndarray
    tau: np.ndarray
    slot_pitch: np.ndarray
    slot_depth: np.ndarray
    yoke: np.ndarray
    outside: np.ndarray
    outside_area: np.ndarray
    overhang: np.ndarray
    end_share: np.ndarray
    copper_share: np.ndarray
    tooth_share: np.ndarray | float
    stacking_factor: np.ndarray | float
    air: tuple
    fluid: tuple
    conductor: str = "copper"
    liner: np.ndarray | float | None = None


@dataclass(frozen=True)
class Made:
    """Of what, and how well, a machine is put together; defaults in `scaling.ground.materials`, with their sources.

    ``seat_film`` None grows with the core as fits do.
    """

    resin_conductivity: np.ndarray | float = materials.RESIN_CONDUCTIVITY
    liner_conductivity: np.ndarray | float = materials.LINER_CONDUCTIVITY
    sheet_conductivity: np.ndarray | float = materials.SHEET_CONDUCTIVITY
    shaft_conductivity: np.ndarray | float = materials.SHAFT_CONDUCTIVITY
    shaft_ratio: np.ndarray | float = materials.SHAFT_RATIO
    seat_film: np.ndarray | float | None = None
    inner_air: np.ndarray | float = materials.INNER_AIR["h_i"]
    inner_air_speed: np.ndarray | float = materials.INNER_AIR["v_i"]


@dataclass(frozen=True)
class Inside:
    """What does not depend on speed: the still part of the network, and the resistance of tooth tips [K/W]."""

    machine: Machine
    made: Made
    still: Still
    tips: np.ndarray


def liner_thickness(slot_width):
    """Return the thickness of a slot liner as it is made in a slot of a width, or of a depth if that is less [m]."""
    return thermal.made_liner(
        w_u=slot_width, c_i=materials.LINER_SHARE, t_k=materials.THINNEST_LINER, t_m=materials.SLOT_LINER
    )


def _conductor(machine):
    """Return the heat conductivity of the conductor [W/m/K]."""
    metal = materials.CONDUCTORS[machine.conductor]
    rho = stator_laws.resistivity_at(
        sigma_20=metal.conductivity, alpha_20=metal.temperature_coefficient, T=_TEMPERATURE, T_20=materials.T_20
    )
    return thermal.conductor_conductivity(rho=rho, T=_TEMPERATURE)


def _slot(machine, made):
    """Return {edge: resistance} of the winding, and (slab share, turn share); NaN where the liners leave no room."""
    w_u = wire.slot_width(tau_u=machine.slot_pitch, phi_t=machine.tooth_share)
    liner = liner_thickness(np.minimum(w_u, machine.slot_depth)) if machine.liner is None else machine.liner
    liner = np.where(2 * liner < np.minimum(w_u, machine.slot_depth), liner, np.nan)
    lambda_d = _conductor(machine)
    wires = machine.copper_share * w_u * machine.slot_depth / (1 - machine.tooth_share)
    packed = np.minimum(wires / ((w_u - 2 * liner) * (machine.slot_depth - 2 * liner)), DENSEST)
    across = thermal.winding_conductivity(lambda_d=lambda_d, lambda_r=made.resin_conductivity, phi_n=packed)
    slab = {
        "w_u": w_u, "d_s": machine.slot_depth, "t_i": liner, "lambda_w": across, "tau_u": machine.slot_pitch,
        "S_b": machine.area,
    }  # fmt: skip
    side = thermal.slot_side_resistance(**slab, lambda_i=made.liner_conductivity)
    bottom = thermal.slot_bottom_resistance(**slab, lambda_i=made.liner_conductivity)
    wall = side * bottom / (side + bottom)
    along = {"L": machine.width, "lambda_d": lambda_d, "phi_s": machine.copper_share, "d_s": machine.slot_depth}
    fin = thermal.conductor_fin_number(R_h=wall, S_b=machine.area, **along)
    inner = thermal.slot_end_resistance(R_h=wall, u_n=fin)
    outer = thermal.end_turn_resistance(e=machine.end_share, S_b=machine.area, **along)
    edges = {("slots", "teeth"): side, ("slots", "yoke"): bottom, ("slots", "ends"): inner + outer}
    return edges, thermal.slot_slab_resistance(**slab) / side, outer / (inner + outer)


def inside(machine, made=None):
    """Return what of a machine's thermal network does not depend on its speed."""
    made = Made() if made is None else made
    tooth = {
        "d_s": machine.slot_depth, "lambda_c": made.sheet_conductivity, "k_s": machine.stacking_factor,
        "phi_t": machine.tooth_share, "S_b": machine.area,
    }  # fmt: skip
    yoke = thermal.yoke_resistance(
        D_o=machine.outside, y=machine.yoke, L=machine.width, lambda_c=made.sheet_conductivity,
        k_s=machine.stacking_factor,
    )  # fmt: skip
    film = thermal.made_seat(D_o=machine.outside, **materials.SEAT_FILM) if made.seat_film is None else made.seat_film
    seat = thermal.seat_resistance(t_a=film, lambda_f=machine.air[0], D_o=machine.outside, L=machine.width)
    edges, slab_share, turn_share = _slot(machine, made)
    edges["teeth", "yoke"] = thermal.tooth_resistance(**tooth) + yoke / 2
    edges["slots", "yoke"] = edges["slots", "yoke"] + yoke / 2
    edges["yoke", "frame"] = yoke / 2 + seat
    edges["rotor", "frame"] = thermal.shaft_resistance(
        lambda_s=made.shaft_conductivity, D_s=made.shaft_ratio * machine.D, l_e=machine.overhang
    )
    share = thermal.tooth_loss_share(
        d_s=machine.slot_depth, phi_t=machine.tooth_share, y=machine.yoke, tau=machine.tau, D=machine.D,
        D_o=machine.outside,
    )  # fmt: skip
    still = Still(
        edges,
        end_share=machine.end_share / (1.0 + machine.end_share),
        tooth_loss_share=share,
        slab_share=slab_share,
        turn_share=turn_share,
    )
    return Inside(machine, made, still, thermal.tooth_tip_resistance(**tooth))


def _moved(inner, rim_speed):
    """Return {edge: resistance} of gap and inner air at a speed of the rotor's surface."""
    machine, made = inner.machine, inner.made
    conductivity, viscosity, _ = machine.fluid
    number = thermal.taylor_number(v_r=rim_speed, D=machine.D, g=machine.clearance, nu_f=viscosity)
    gap = heat.convection_coefficient(
        Nu=thermal.gap_nusselt_number(Ta=number), lambda_f=conductivity, ell=2 * machine.clearance
    )
    h = thermal.inner_coefficient(
        h_i=made.inner_air, v_r=rim_speed, v_i=made.inner_air_speed, lambda_f=machine.air[0], d_s=machine.slot_depth
    )
    l_e = machine.overhang
    areas = {
        ("ends", "air"): thermal.end_winding_area(D_i=machine.bore, d_s=machine.slot_depth, l_e=l_e),
        ("rotor", "air"): thermal.rotor_end_area(D=machine.D, l_e=l_e),
        ("air", "frame"): thermal.inner_frame_area(D_o=machine.outside, l_e=l_e),
    }
    found = {edge: thermal.surface_resistance(h=h, S_h=area) for edge, area in areas.items()}
    bore = geometry.bore_area(D=machine.D, L=machine.width)
    found["rotor", "teeth"] = inner.tips + thermal.surface_resistance(h=gap, S_h=bore)
    return found


def network(inner, rim_speed, coefficient):
    """Return the thermal network at a speed of the rotor's surface [m/s] and a coefficient of the outside [W/m²/K]."""
    outside = thermal.surface_resistance(h=coefficient, S_h=inner.machine.outside_area)
    return Network(inner.still, _moved(inner, rim_speed), outside)


def capacities(machine):
    """Return {node: heat capacity} of a machine [J/K]; the inner air holds nothing."""
    metal = materials.CONDUCTORS[machine.conductor]
    layer = {"d_s": machine.slot_depth, "S_b": machine.area}
    sheet = {"rho_c": materials.CORE_DENSITY, "k_s": machine.stacking_factor}
    copper = geometry.winding_mass(rho_w=metal.density, phi_s=machine.copper_share, e=machine.end_share, **layer)
    in_ends = machine.end_share / (1.0 + machine.end_share)
    teeth = geometry.teeth_mass(phi_t=machine.tooth_share, **sheet, **layer)
    yoke = geometry.yoke_mass(D_o=machine.outside, y=machine.yoke, L=machine.width, **sheet)
    rotor = geometry.rotor_mass(rho_c=materials.CORE_DENSITY, D=machine.D, L=machine.width)
    own = materials.CONDUCTOR_HEAT_CAPACITY[machine.conductor]
    masses = {
        "slots": (copper * (1.0 - in_ends), own),
        "ends": (copper * in_ends, own),
        "teeth": (teeth, materials.CORE_HEAT_CAPACITY),
        "yoke": (yoke, materials.CORE_HEAT_CAPACITY),
        "rotor": (rotor, materials.CORE_HEAT_CAPACITY),
    }
    found = {node: thermal.heat_capacity(m=m, c_h=c_h) for node, (m, c_h) in masses.items()}
    found["frame"] = thermal.frame_heat_capacity(
        c_m=materials.FRAME_HEAT_CAPACITY, t_g=materials.FRAME_WALL_RATIO * machine.outside, S_o=machine.outside_area
    )
    return found
