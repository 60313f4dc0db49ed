"""The permanent magnet rotor, the yardstick: radial surface magnets and a supply that keeps the load angle."""

from dataclasses import replace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, magnet, reserve, strength, two_axis
from scaling.laws import stator as stator_laws
from scaling.machines.fed import pull_out_reserve, with_surface
from scaling.machines.iron import iron_of
from scaling.machines.leakage import leakage_reactance
from scaling.machines.operation import MOST, VOLTAGE, Loads, Operation, in_step, near
from scaling.machines.rotor import Look, Objective, Rotor
from scaling.machines.starting_cage import StartingCage, below_magnets
from scaling.machines.warmth import rotor_rise
from scaling.models.reserve import reserved_angle

HEATS = 30.0  # times the heat of the most efficient loading, or part of all, that is tried
THINNEST = 0.1  # magnets tried, as a part of the thickest


def candidates(si):
    """Return the magnet material to use."""
    return (materials.MAGNETS[si.magnet],)


def properties(material, si):
    """Return what a material contributes: its remanence at 20 °C and its loss per kelvin, and its density."""
    return {
        "B_20": material.remanence,
        "alpha_B": material.temperature_coefficient,
        "density": materials.STRENGTHS[material.name].density,
    }


def warmed(fed, grade):
    """Return a grade with its remanence ``B_r`` at the rotor's temperature, the winding as warm as it may be."""
    T = fed.stator.si.ambient + rotor_rise(fed)
    return grade | {"B_r": magnet.remanence_at(B_20=grade["B_20"], alpha_B=grade["alpha_B"], T=T, T_20=materials.T_20)}


def hottest(si):
    """Return the temperature that the magnets stand [K]."""
    return materials.MAGNETS[si.magnet].hottest


def rim_speed(stator, grade):
    """Return the rim speed that glue holds the magnets at; a band round them stands more."""
    c_v = strength.bond_coefficient(t=stator.rotor_depth, D=stator.D)
    return strength.rim_speed_limit(
        c_v=c_v, rho_b=grade["density"], sigma_p=materials.BOND_STRENGTH, n_o=stator.si.overspeed
    )


def free(si, sparing):
    """Return what else is searched: the share of the heat budget, by merits that may want less than all of it.

    Where the rotor may run up with a cage below the magnets, the magnets' thickness as well: behind thick ones the
    cage hardly meets the field. Thick ones are best but for that.
    """
    heat = {"heat": 0.5} if sparing else {}
    asked = si.self_starting or si.torque_at_rest_asked
    return heat | ({"depth": 0.3} if si.starting_cage == "best" and si.supply != "drive" and asked else {})


def operate(fed, grade, objective, search_fraction, coarse=False):
    """Return (fed stator, operation) of all loading inside the heat budget; the fraction sets the magnets' field.

    Less magnet field than the given grade has means a weaker one, of the same arc. The current is in phase with the
    magnets' voltage, or magnetises as far as the pull-out reserve needs it.
    """
    fed = with_surface(fed, ROTOR)
    stator, grade = fed.stator, warmed(fed, grade)
    thickness = stator.rotor_depth * (THINNEST + (1 - THINNEST) * grade.get("depth", 1.0))
    gap = {"k": stator.k, "t": stator.unrolled(thickness), "g_m": stator.slotted_gap}
    most = strongest = _strongest(stator, grade, thickness)
    g_m = stator_laws.layered_gap(g=stator.plane_gap, k_C=stator.carter, t=gap["t"])
    limit = stator.flux_limit.lowered(rotor_core=stator.core_limit(thickness)).over(stator.backward)
    in_teeth = stator.tooth_limit / (1.0 + stator.backward)
    most = _beside_iron(stator, most, np.minimum(most, np.minimum(limit.value, in_teeth)), g_m, thickness)
    per_loading = magnet.armature_field(A=1.0, **gap)
    costs = {"w_A": fed.loading_budget_factor, "w_C": fed.both_waves_budget_factor, "w_B": fed.field_budget_factor}
    X = fed.field_speed * per_loading + leakage_reactance(stator, fed.frequency, g_m)
    circuit, m = {"R": fed.winding_resistance, "X": X}, pull_out_reserve(stator.si, ROTOR.reserve)
    own_heat = _own_heat(fed)

    def allowed(B_m, psi):
        """Return the loadings inside heat, gap field, teeth at the magnets' edge, and the magnets' heat."""
        at = {"B_m": B_m, "psi": psi, "c_A": per_loading}
        return np.broadcast_arrays(
            magnet.heat_limited_magnet_loading(q_b=heat, **costs, **at),
            magnet.field_limited_magnet_loading(B_l=limit.value, **at),
            magnet.edge_limited_magnet_loading(B_l=in_teeth, alpha=stator.si.magnet_arc, **at),
            magnet.heat_limited_magnet_loading(**own_heat, **at),
        )

    half = np.sin(np.pi / 2 * stator.si.magnet_arc)
    flat = 4 / np.pi * half  # fundamental over the field of the teeth that magnets face
    with np.errstate(invalid="ignore", divide="ignore"):
        # Magnets that fill field or heat leave nothing to the loading; in quadrature the rest is the cosine's.
        by_heat = np.minimum(fed.budget / fed.field_budget_factor, own_heat["q_b"] / own_heat["w_B"])
        alone = np.minimum(np.minimum(limit.value, flat * in_teeth), np.sqrt(by_heat))
        B_m = alone * np.sin(search_fraction * np.arcsin(np.minimum(most / alone, 1.0)))
        heat = _heat(fed, B_m, objective, grade.get("heat", 0.5))
        # Where loading and magnets together fill the teeth at the edge, weaker magnets are better than less loading.
        hot = magnet.heat_limited_magnet_loading(q_b=heat, B_m=B_m, psi=0.0, c_A=per_loading, **costs)
        B_m = np.minimum(B_m, flat * np.maximum(in_teeth - per_loading * half * hot, in_teeth / 2))

        def admittance(psi):
            return np.min(allowed(B_m, psi), axis=0) / (fed.field_speed * B_m)

        psi = (
            np.where(m > 1.0, reserved_angle(m, admittance, **circuit), 0.0) if np.any(m > 1.0) else 0.0 * (B_m * heat)
        )
        each = allowed(B_m, psi)
        A = np.where(np.min(each, axis=0) > 0.0, np.min(each, axis=0), np.nan)
        pull_out = reserve.magnet_pull_out(Y_e=A / (fed.field_speed * B_m), psi=psi, **circuit)
    binds = [one <= A * (1 + 1e-3) for one in each]
    shear = magnet.magnet_shear_stress(B_m=B_m, A=A, psi=psi)

    def breakdown(fixed_supply):
        return shear * (pull_out if fixed_supply else 1.0)

    B = magnet.magnet_and_armature_field(B_m=B_m, A=A, psi=psi, c_A=per_loading)

    def cage():
        """Return the starting cage: bars in the iron below the magnets that the field does not need."""
        E_s = fed.field_speed * B_m
        return StartingCage(
            fed,
            below_magnets(stator, thickness, B * (1.0 + stator.backward)),
            gap=g_m,
            P_d=1.0,
            P_q=1.0,
            running=A,
            voltage_of=lambda at: two_axis.magnet_voltage(A=A, R=at["R"], X=at["X_d"], E_s=E_s, psi=psi),
            magnets=E_s,
        )

    made = Operation(
        loading=A,
        gap_field=B,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=shear / stator_laws.shear_stress(A=A, k=stator.k, g_m=g_m, Lambda=1.0),
        magnetic_gap=g_m,
        thickness=thickness,
        breakdown=breakdown,
        starting=lambda: (shear, A),
        off_design=in_step(breakdown, A),
        loads=lambda fixed_supply: _loads(
            fed, made, psi, B_m, per_loading, circuit, pull_out if fixed_supply else None
        ),
        cage=cage,
        backward_field=stator.backward * per_loading * A,
        load_angle=np.pi / 2 - psi,
        ideal_remanence=B_m / strongest * grade["B_r"],
        form={"remanence": B_m / most * grade["B_20"]},
        limits={
            **limit.held_by(binds[1]),
            "pole edge": binds[2],
            "rotor heat": binds[3],
            "pull-out reserve": psi > 0.0,
            "rotor thickness": near(B_m, most),
        },
    )
    return fed, made


def _loads(fed, made, psi, B_m, c_A, circuit, pull_out):
    """Return the Loads by torque across the gap over the rated: on a fixed supply, up to its pull-out, on its voltage.

    On a drive (pull-out None) the current goes with the torque and keeps its angle.
    """
    E_s = fed.field_speed * B_m
    U_s = two_axis.magnet_voltage(A=made.loading, E_s=E_s, psi=psi, **circuit)

    def at(A, psi, share):
        shear = share * made.shear
        return replace(
            made,
            loading=A,
            gap_field=magnet.magnet_and_armature_field(B_m=B_m, A=A, psi=psi, c_A=c_A),
            shear=shear,
            slip=np.zeros(shear.shape),
            response=shear / stator_laws.shear_stress(A=A, k=fed.stator.k, g_m=made.magnetic_gap, Lambda=1.0),
            backward_field=fed.stator.backward * c_A * A,
            load_angle=np.pi / 2 - psi,
            magnetised=np.where(B_m * np.sin(psi) + c_A * A < 0.0, -1.0, 1.0),
            limits={},
        )

    def on_voltage(share):
        A_q = share * made.loading * np.cos(psi)
        A_d = two_axis.magnetising_loading(A_q=A_q, E_s=E_s, U_s=U_s, **circuit)
        return at(np.hypot(A_q, A_d), np.arctan2(A_d, A_q), share)

    if pull_out is None:
        rule = "the drive keeps its frequency and the current in phase with the magnets' voltage; it follows the load"
        return Loads(1.0, MOST, lambda share: at(share * made.loading, psi, share), rule)
    return Loads(1.0, pull_out, on_voltage, f"{VOLTAGE}; current and load angle follow the load", True)


def _beside_iron(stator, B_m, B, g_m, thickness):
    """Return the magnets' field where iron takes a part of their magnetomotive force, that of a gap field B."""
    gap = B / (VALUES["mu_0"] / np.tanh(stator.k * g_m))
    return B_m / (1 + stator.k * iron_of(stator, D=stator.D, t=thickness).ampere_turns(B) / gap)


def _own_heat(fed):
    """Return the magnets' own heat budget, for the rise that their grade stands, and what losses take of it."""
    stator, si, warmth = fed.stator, fed.stator.si, fed.rotor_warmth
    theta = np.maximum(hottest(si) - si.ambient, 0.0)
    q_b = stator_laws.heat_allowed(h=fed.heat_coefficient, theta=theta, S_o=stator.outside_area, S_b=stator.area)
    surface, core = fed.surface_factor * warmth.rotor, fed.core_part(warmth)
    return {
        "q_b": np.maximum(q_b - warmth.friction * fed.friction_heat, 0.0),
        "w_A": fed.loading_part(warmth),
        "w_C": core * (1.0 + stator.backward**2) + surface,
        "w_B": core + surface,
    }


def _heat(fed, B_m, objective, place):
    """Return the heat spent, at a place: at 1/2 all of it; for efficiency twice what does not depend on the loading."""
    most = fed.budget
    if objective is Objective.EFFICIENCY:
        constant = fed.field_heat_factor * B_m**2
        most = np.minimum(most, fed.field_budget_factor * B_m**2 + fed.warmth.winding * (constant + fed.brake_loss))
    return np.minimum(most * HEATS ** (2 * place - 1), fed.budget)


def _strongest(stator, grade, thickness):
    """Return the field at the bore of magnets of the grade given."""
    made = {"B_r": grade["B_r"], "alpha": stator.si.magnet_arc, "t": thickness, "g_m": stator.slotted_gap}
    if stator.is_plane:
        return magnet.magnet_gap_field(k=stator.k, **made)
    return magnet.round_magnet_gap_field(p=stator.p, D=stator.D, D_i=stator.bore, **made)


def active_mass(point):
    """Return the mass of the magnets [kg]."""
    stator, arc = point.stator, point.si.magnet_arc
    volume, density = stator.volume_thickness(point.operation.thickness), point.properties["density"]
    return geometry.layer_mass(rho_b=density, phi_r=arc, t_v=volume, S_b=stator.area)


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    return f"magnets keep a gap field of {design.gap_field_peak.magnitude:.2g} T without any current"


ROTOR = Rotor(
    kind="magnet",
    synchronous=True,
    reserve=1.35,
    torque_cycles_per_turn=1.0,
    full_fraction_is_best=False,
    surface=materials.SOLID_SURFACES["magnet"],
    surface_is_solid=True,
    look=Look("#832db6", "D", ":"),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
    free=free,
    hottest=hottest,
    active_mass=active_mass,
    held_but_for_start=(("depth", 1.0),),
)
