"""A winding of whole conductors: from the loadings of a stator to the turns, voltage, current and ohms of a phase.

A stator is known by what it carries per gap area; how many turns carry it is free. Voltage goes with the turns in
series of a phase, current with one over them, resistance and reactance with their square.
"""

import sympy as sp

from scaling.laws.formula import formula

_SHEET = "balanced phases, sinusoidal currents, all slots alike"


@formula("N_1", source="definition of the slots per pole and phase", valid="whole slots per pole and phase")
def slot_count(*, m_1, p, c_q):
    """Return the number of slots of a stator.

    Examples
    --------
    Three phases, four poles, three slots per pole and phase.

    >>> float(slot_count(m_1=3, p=2, c_q=3))
    36.0
    """
    return 2 * m_1 * p * c_q


@formula(
    "w_t", source="counting: two conductors a turn, p*c_q*z_s turns a phase", valid="all conductors of a slot alike"
)
def turns_in_series(*, z_s, p, c_q, n_a):
    """Return the turns in series of a phase whose parts are connected in parallel paths.

    Examples
    --------
    35 conductors in each of 36 slots, four poles, one path.

    >>> float(turns_in_series(z_s=35, p=2, c_q=3, n_a=1))
    210.0
    """
    return p * c_q * z_s / n_a


@formula("I_1", source="definition of the rms linear current density: all conductors round the bore", valid=_SHEET)
def current_of_loading(*, A_rms, D_i, m_1, w_t):
    """Return the rms current of a phase."""
    return sp.pi * D_i * A_rms / (2 * m_1 * w_t)


@formula("w_t", source="derived: apparent power m_1*U*I_1 with the current of the loading", valid=_SHEET)
def turns_of_voltage(*, U, A_rms, D_i, P_S):
    """Return the turns in series per phase with which a loading's apparent power is drawn at a voltage.

    Unlike `scaling.laws.wire.turns_per_phase` it counts the voltage that resistance and leakage take.
    """
    return sp.pi * D_i * A_rms * U / (2 * P_S)


@formula("U", source="definition of apparent power", valid=_SHEET)
def voltage_of_apparent_power(*, P_S, m_1, I_1):
    """Return the rms voltage of a phase."""
    return P_S / (m_1 * I_1)


@formula("Phi", source="mean of a sine over a pole, 2/pi of its peak", valid="sinusoidal field")
def pole_flux(*, B, tau, L):
    """Return the flux of a pole.

    Examples
    --------
    0.8 T over a pole of 80 mm by 100 mm: 4 mWb.

    >>> round(1e3 * float(pole_flux(B=0.8, tau=0.08, L=0.1)), 2)
    4.07
    """
    return 2 * B * tau * L / sp.pi


@formula(
    "E_1",
    source="law of induction, 4.44*f*w*Phi*k_w of every textbook; seen in Induction Motor Design (3-Phase), Notes "
    "TEE604, eq. (2)",
    valid="sinusoidal field",
)
def induced_voltage(*, f, k_w, w_t, Phi):
    """Return the rms voltage that a turning field induces in a phase.

    Examples
    --------
    >>> round(float(induced_voltage(f=50.0, k_w=0.95, w_t=267, Phi=4.07e-3)), 1)
    229.3
    """
    return sp.sqrt(2) * sp.pi * f * k_w * w_t * Phi


@formula(
    "Z_1",
    source="derived: the same power, m_1*Z_1*I_1**2 of the phases and z_A*A**2/2 per gap area; tests compare it with "
    "the textbook's magnetising inductance",
    valid=_SHEET + "; fundamental of the loading",
)
def phase_impedance(*, z_A, m_1, k_w, w_t, L, D_i):
    """Return a phase's resistance or reactance from that per gap area and square of the peak loading."""
    return 4 * m_1 * (k_w * w_t) ** 2 * L * z_A / (sp.pi * D_i)


@formula("a_w", source="plane geometry", valid="round wire")
def conductor_section(*, n_s, d_w):
    """Return the copper's cross-section of a conductor of equal strands."""
    return sp.pi * n_s * d_w**2 / 4


@formula("phi_n", source="definition of the copper share", valid="slot with parallel sides")
def slot_fill_of_conductors(*, z_s, a_w, w_u, d_s):
    """Return the copper share of a slot that holds so many conductors."""
    return z_s * a_w / (w_u * d_s)


@formula("R_1", source="Ohm's law along all turns of a path; paths in parallel", valid="direct current: no skin effect")
def phase_resistance(*, rho, w_t, L, e, n_a, a_w):
    """Return the resistance of a phase, end turns included.

    Examples
    --------
    210 turns of 2 x 160 mm in the core and as much outside, 1.77 mm2, copper at 20 °C.

    >>> round(float(phase_resistance(rho=1.72e-8, w_t=210, L=0.16, e=1.0, n_a=1, a_w=1.765e-6)), 2)
    1.31
    """
    return 2 * rho * w_t * L * (1 + e) / (n_a * a_w)


@formula(
    "U_l", source="geometry of three phasors", valid="three balanced phases in star; in delta line and phase alike"
)
def star_line_voltage(*, U):
    """Return the voltage between lines of phases in star."""
    return sp.sqrt(3) * U


@formula(
    "I_l", source="geometry of three phasors", valid="three balanced phases in delta; in star line and phase alike"
)
def delta_line_current(*, I_1):
    """Return the current of a line to phases in delta."""
    return sp.sqrt(3) * I_1
