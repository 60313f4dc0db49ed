"""The hysteresis rotor: a ring of semi-hard material on a non-magnetic hub."""

import numpy as np

from scaling.ground import materials
from scaling.laws import hysteresis as law
from scaling.laws import stage
from scaling.machines.operation import Operation
from scaling.models.loops import energy, fitted, peak_flux_density
from scaling.models.search import maximise

KIND = "hysteresis"
SYNCHRONOUS = True
PULL_IN = None  # the same torque from rest to synchronism
LOWEST = 200.0  # the ring's field is searched down to this part of what the heat alone allows


def candidates(brief):
    """Return the ring materials to try."""
    return tuple(materials.LOOP_MATERIALS.values())


def operate(st, loops, goal, share=1.0):
    """Return the best operating point with a share of the heat budget; ``goal`` does not matter at synchronism.

    At each peak field along the ring the thickest ring that thickness, heat and gap field allow is best and in
    closed form; the field itself is searched.
    """
    fr = st.frame
    shape = (len(loops), *fr.D.shape)
    usable = fr.fits & ~np.isnan(st.budget).all(axis=tuple(range(st.budget.ndim - 2)))
    loop = {n: np.array([fitted(m)[n] for m in loops])[:, None] for n in ("H_c", "H_a", "B_s")}

    def flat(array):  # materials by usable (pole pair, size) places: what does not fit is not computed
        return np.broadcast_to(array, shape)[:, usable]

    def full(array):
        out = np.full(shape, np.nan)
        out[:, usable] = array
        return out

    heat, w_A, w_B = flat(st.budget * share), flat(fr.winding_heat_factor), flat(st.core_factor)
    g_m, k, tau, depth, B_l = (flat(a) for a in (fr.stator_gap, fr.k, fr.tau, fr.rotor_depth, fr.field_limit))
    a_g = law.gap_loading_rate(k=k, g_m=g_m)

    def ring(log_H):
        H = np.exp(log_H)
        B_p, W_h = peak_flux_density(H, loop), energy(H, loop)
        by_heat = law.heat_limited_thickness(q_b=heat, w_A=w_A, w_B=w_B, k=k, a_g=a_g, H=H, B_p=B_p, W_h=W_h)
        by_field = law.field_limited_thickness(B_l=B_l, k=k, H=H, B_p=B_p, W_h=W_h)
        return H, B_p, W_h, by_heat, by_field

    def shear_at(log_H):
        _, _, W_h, by_heat, by_field = ring(log_H)
        t = np.minimum(np.minimum(by_heat, by_field), depth)
        return law.steinmetz_shear_stress(t=t, W_h=W_h, tau=tau)

    top = 0.5 * np.log(heat / w_A) - 1e-9
    H, B_p, W_h, by_heat, by_field = ring(maximise(shear_at, top - np.log(LOWEST), top, steps=20))
    t = np.minimum(np.minimum(by_heat, by_field), depth)
    gamma = law.loop_angle(W_h=W_h, B_p=B_p, H=H)
    mu_r = law.loop_permeability(B_p=B_p, H=H, gamma=gamma)
    N = law.ring_number(k=k, g_m=g_m, t=t, mu_r=mu_r)
    A = law.ring_loading(H=H, N=N, gamma=gamma)
    response = law.hysteresis_response(N=N, gamma=gamma)
    shear = full(stage.shear_stress(A=A, k=k, g_m=g_m, Lambda=response))
    field_binds = full(by_field <= t * 1.02) == 1.0
    return Operation(
        loading=full(A),
        gap_field=full(law.ring_gap_field(k=k, t=t, mu_r=mu_r, H=H)),
        shear=shear,
        slip=np.zeros(shape),
        response=full(response),
        magnetic_gap=fr.stator_gap,
        thickness=full(t),
        maximum_shear=shear,
        starting_shear=shear,
        load_angle=full(gamma),
        ring_field=full(H),
        loop_peak=full(B_p),
        limits={
            "temperature rise": full(by_heat <= t * 1.02) == 1.0,
            "gap field": field_binds & ~fr.yoke_limits,
            "yoke field": field_binds & fr.yoke_limits,
            "rotor thickness": full(t >= 0.999 * depth) == 1.0,
        },
    )
