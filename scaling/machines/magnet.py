"""The permanent magnet rotor, the yardstick: radial surface magnets and a supply that keeps the load angle."""

import numpy as np

from scaling.ground import materials
from scaling.laws import magnet, stage, strength
from scaling.machines.operation import Operation, in_step
from scaling.machines.stage import with_surface

KIND = "magnet"
SYNCHRONOUS = True
SWINGS = 1.0  # of the torque in a turn of the field: a fixed supply has to pull the rotor in
SURFACE = materials.SOLID_SURFACES["magnet"]
CLOSED = True  # part = 1 is best for torque and power
LEAST_SHARE = 1e-6  # of the heat budget, at part = 0


def candidates(brief):
    """Return the magnet material to use."""
    return (materials.MAGNETS[brief.magnet],)


def properties(material, brief):
    """Return what a material contributes: its remanence and density."""
    return {"B_r": material.remanence, "density": materials.STRENGTHS[material.name].density}


def rim_speed(fr, grade):
    """Return the rim speed that glue holds the magnets at; a band round them stands more."""
    c_v = strength.bond_coefficient(t=fr.rotor_depth, D=fr.D)
    return strength.rim_speed_limit(
        c_v=c_v, rho_b=grade["density"], sigma_p=materials.BOND_STRENGTH, n_o=fr.brief.overspeed
    )


def operate(st, grade, goal, part, rough=False):
    """Return (stage, operation), the largest torque of a share of the heat budget, which ``part`` from 0 to 1 sets.

    In the squares of loading and magnet field, heat and field limit are straight lines and torque squared is a
    product: its best point lies on one line's own optimum or on their crossing. Less magnet field than the thickest
    magnet gives means a narrower pole arc.
    """
    st = with_surface(st, *SURFACE)
    fr, brief = st.frame, st.frame.brief
    heat = st.budget * LEAST_SHARE ** (1.0 - part)
    t = fr.rotor_depth
    most = magnet.magnet_gap_field(B_r=grade["B_r"], k=fr.k, t=t, g_m=fr.stator_gap, alpha=brief.magnet_arc)
    g_m = stage.layered_gap(g=fr.gap, k_C=fr.carter, t=t)
    w_A, w_B = st.winding_heat_factor, st.field_heat_factor
    c2 = magnet.armature_field(A=1.0, k=fr.k, t=t, g_m=fr.stator_gap) ** 2
    limit = fr.forward_field_limit**2
    per_A = w_A + st.both_waves_heat_factor * c2

    def by_heat(v):
        return (heat - w_B * v) / per_A

    def by_field(v):
        return (limit - v) / c2

    v_heat, v_field = heat / (2 * w_B), limit / 2
    crossing = (limit / c2 - heat / per_A) / (1 / c2 - w_B / per_A)
    v = np.where(
        by_heat(v_heat) <= by_field(v_heat),
        v_heat,
        np.where(by_field(v_field) <= by_heat(v_field), v_field, crossing),
    )
    v = np.minimum(v, most**2)
    A = np.sqrt(np.minimum(by_heat(v), by_field(v)))
    B_m = np.sqrt(v)
    shear = magnet.magnet_shear_stress(B_m=B_m, A=A)
    field_binds = by_field(v) <= by_heat(v) * (1 + 1e-9)
    return st, Operation(
        loading=A,
        gap_field=np.sqrt(v + c2 * A**2),
        shear=shear,
        slip=np.zeros(shear.shape),
        response=shear / stage.shear_stress(A=A, k=fr.k, g_m=g_m, Lambda=1.0),
        magnetic_gap=g_m,
        thickness=t,
        maximum=lambda: shear,
        starting=lambda: shear,
        along=in_step(shear, A),
        backward_field=fr.backward * np.sqrt(c2) * A,
        surface_drag=st.surface_factor * (v + c2 * A**2) / st.field_speed,
        load_angle=np.full(shear.shape, np.pi / 2),
        limits={
            **fr.held_by(field_binds),
            "rotor thickness": v >= most**2 * (1 - 1e-9),
        },
    )
