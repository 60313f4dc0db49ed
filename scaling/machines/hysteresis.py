"""The hysteresis rotor: a ring of semi-hard material on a non-magnetic hub."""

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry, stage
from scaling.laws import hysteresis as law
from scaling.laws import loop as loop_law
from scaling.machines.operation import Operation, near
from scaling.models.loops import energy, fitted, peak_flux_density
from scaling.models.search import root

KIND = "hysteresis"
SYNCHRONOUS = True
PULL_IN = None  # the same torque from rest to synchronism
CLOSED = False  # the field along the ring is searched
LOWEST = 200.0  # down to this part of what the heat alone allows


def candidates(brief):
    """Return the ring materials to try."""
    return tuple(materials.LOOP_MATERIALS.values())


def properties(material, brief):
    """Return what a material contributes: its loop."""
    return fitted(material)


def operate(st, loop, goal, part):
    """Return (stage, operation); ``part`` from 0 to 1 sets the peak field along the ring.

    Up to 1/2 a ring as thick as depth and gap field allow stays within the heat budget; above, heat sets the thickness.
    The thickness is in closed form: for torque and power the thickest that heat, gap field and depth allow, for
    efficiency the best one, or what the brief's torque needs if that is more.
    """
    fr, w_A = st.frame, st.frame.winding_heat_factor
    a_g = law.gap_loading_rate(k=fr.k, g_m=fr.stator_gap)

    def ring(H):
        at = {"w_A": w_A, "w_B": st.core_factor, "k": fr.k, "a_g": a_g, "H": H}
        at |= {"B_i": peak_flux_density(H, loop), "W_h": energy(H, loop)}
        by_field = law.field_limited_thickness(B_l=fr.field_limit, k=fr.k, H=H, B_i=at["B_i"], W_h=at["W_h"])
        return at, by_field

    def excess(log_H):
        """Return the logarithm of the heat of the thickest ring over the budget: nearly straight."""
        at, by_field = ring(np.exp(log_H))
        return np.log(law.ring_heat(t=np.minimum(by_field, fr.rotor_depth), **at) / st.budget)

    with np.errstate(invalid="ignore", divide="ignore"):
        top = np.log(st.budget / w_A) / 2 - 1e-9
        low = top - np.log(LOWEST)
        corner = root(excess, low, top, steps=8)
        H = np.exp(np.where(part < 0.5, low + (corner - low) * 2 * part, corner + (top - corner) * (2 * part - 1)))
        at, by_field = ring(H)
        by_heat = law.heat_limited_thickness(q_b=st.budget, **at)
        B_p, W_h = at["B_i"], at["W_h"]
        t = np.minimum(np.minimum(by_heat, by_field), fr.rotor_depth)
        if goal == "efficiency":
            q_f = st.friction_torque * geometry.shaft_speed(f=st.frequency, p=fr.p, s=0.0) / fr.bore_area
            wanted = law.most_efficient_thickness(q_f=q_f, f=st.frequency, **at)
            asked = law.thickness_for_shear_stress(sigma_t=_shear_asked(st), W_h=W_h, tau=fr.tau)
            t = np.minimum(t, np.maximum(wanted, asked))
        gamma = loop_law.loop_angle(W_h=W_h, B_i=B_p, H=H)
        mu_r = loop_law.loop_permeability(B_i=B_p, H=H, gamma=gamma)
        N = law.ring_number(k=fr.k, g_m=fr.stator_gap, t=t, mu_r=mu_r)
        A = law.ring_loading(H=H, N=N, gamma=gamma)
        response = law.hysteresis_response(N=N, gamma=gamma)
        shear = stage.shear_stress(A=A, k=fr.k, g_m=fr.stator_gap, Lambda=response)
    field_binds = near(t, by_field)
    return st, Operation(
        loading=A,
        gap_field=law.ring_gap_field(k=fr.k, t=t, mu_r=mu_r, H=H),
        shear=shear,
        slip=np.zeros(shear.shape),
        response=response,
        magnetic_gap=fr.stator_gap,
        thickness=t,
        maximum_shear=shear,
        starting_shear=shear,
        load_angle=gamma,
        ring_field=H,
        loop_peak=B_p,
        limits={
            "gap field": field_binds & ~fr.yoke_limits,
            "yoke field": field_binds & fr.yoke_limits,
            "rotor thickness": near(t, fr.rotor_depth),
        },
    )


def _shear_asked(st):
    """Return the shear stress that meets the torques a brief asks for, with a hair to spare."""
    fr, brief = st.frame, st.frame.brief
    torque = np.maximum((brief.torque or 0.0) + st.friction_torque, (brief.starting_torque or 0.0) + fr.bearing_torque)
    return torque * (1 + 1e-9) / geometry.gap_torque(sigma_t=1.0, D=fr.D, L=fr.L)
