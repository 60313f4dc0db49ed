"""Leakage reactance of a stator: per gap area and square of the peak loading, so that X_l*A**2/2 is reactive power.

Tooth tips saturate as the current rises. What a tip leaves is told over that of the running point, where the laws take
it for unsaturated: so a machine's start and its running point rest on one leakage.
"""

from typing import NamedTuple

import numpy as np

from scaling.ground import materials
from scaling.laws import geometry
from scaling.laws import leakage as law
from scaling.laws import stator as stator_laws

STEEPEST = 0.8  # of the error that a step to a current leaves, as an extrapolation takes it


class Parts(NamedTuple):
    """Leakage of a stator: reactances over frequency [ohm*s] of slots with end turns, lips and mouths, and the waves'.

    The last is differential leakage, over the reactance of the gap.
    """

    deep: np.ndarray
    lips: np.ndarray
    mouths: np.ndarray
    waves: np.ndarray


class Loadings(NamedTuple):
    """Peak loadings: the one that saturates tooth tips, if it is above that of the running point, and that."""

    now: np.ndarray
    running: np.ndarray


def _left(share, loadings, pitch, air, path):
    """Return what saturation leaves of a leakage, by one of the laws; along a path, part of it in air [m]."""
    at = {"tau_u": pitch, "w_a": air, "B_s": materials.RIB_FIELD}
    with np.errstate(invalid="ignore", divide="ignore"):
        r_a = air / path
        at_work, saturated = (
            share(u_s=law.leakage_saturation(A=A, **at), r_a=r_a)
            for A in (loadings.running, np.maximum(loadings.running, loadings.now))
        )
        return saturated / at_work


def lips_left(loadings, pitch, opening):
    """Return what saturation leaves of the leakage of a side's lips."""
    return _left(law.saturated_lip_share, loadings, pitch, opening, pitch)


def gap_left(loadings, pitch, gap):
    """Return what saturation leaves of the leakage through the gap of a side's slots."""
    return _left(law.saturated_gap_share, loadings, pitch, 2 * gap, 2 * gap + pitch)


def saturating_loading(pitch, opening, gap):
    """Return the peak loading from which on tooth tips of slots saturate."""
    return 1.0 / law.leakage_saturation(A=1.0, tau_u=pitch, w_a=np.minimum(opening, 2 * gap), B_s=materials.RIB_FIELD)


def drawn(respond, running, saturating):
    """Return ``respond(loadings)``, which ends in a loading, at the loading that itself draws.

    From unsaturated tips on the loading rises, by ever less; where nothing saturates, nothing is repeated.
    """
    found = respond(None)
    steps = [found[-1]]
    with np.errstate(invalid="ignore", divide="ignore"):
        if not np.any(steps[0] > saturating):
            return found
        for _ in range(2):
            steps.append(respond(Loadings(steps[-1], running))[-1])
        first, second = np.diff(steps, axis=0)
        left = np.clip(np.nan_to_num(second / first), 0.0, STEEPEST)
        return respond(Loadings(steps[-1] + second * left / (1.0 - left), running))


def own_parts(stator):
    """Return the Parts of a stator."""
    si = stator.si
    fed = {
        "omega": geometry.angular_frequency(f=1.0),
        "A_rms": stator_laws.winding_loading(A=1.0, k_w=si.winding_factor),
    }
    b_u = si.slot_opening_ratio * stator.slot_pitch
    deep = law.leakage_reactive_power(
        d_s=stator.slot_depth, phi_t=si.tooth_share, lambda_e=si.end_leakage, e=stator.end_share, tau=stator.tau, **fed
    )
    lips, mouths = (
        law.tip_reactive_power(lambda_t=permeance, tau_u=stator.slot_pitch, **fed)
        for permeance in (law.lip_permeance(h_l=stator.tip, b_u=b_u), law.slot_mouth_permeance(b_u=b_u, g=stator.gap))
    )
    waves = law.winding_differential_leakage(c_q=stator.slots_per_pole_and_phase)
    return Parts(2 * deep, 2 * lips, 2 * mouths, waves)


def leakage_reactance(stator, frequency, magnetic_gap, loadings=None):
    """Return the leakage reactance at a frequency [ohm]: slots, tooth tips, end turns, and the winding's other waves.

    The last depends on the rotor by its magnetic gap, unrolled. With Loadings, its tooth tips saturate.
    """
    own = stator.own_leakage
    waves = 2 * law.differential_reactive_power(
        sigma_d=own.waves, v_s=geometry.field_speed(f=frequency, tau=stator.tau), A=1.0, k=stator.k, g_m=magnetic_gap
    )
    if loadings is None:
        return (own.deep + own.lips + own.mouths) * frequency + waves
    slots = Loadings(*(A / stator.si.winding_factor for A in loadings))  # of the winding, not of its fundamental
    pitch, opening = stator.slot_pitch, stator.si.slot_opening_ratio * stator.slot_pitch
    lips, gap = lips_left(slots, pitch, opening), gap_left(slots, pitch, stator.gap)
    return (own.deep + lips * own.lips + gap * own.mouths) * frequency + gap * waves
