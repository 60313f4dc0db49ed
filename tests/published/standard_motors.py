"""Nameplates of 29 standard motors: turned into circuits, and as briefs at their rating. A helper of the tests.

Inputs of a brief are those of ``frames``, the torque from rest of IEC 60034-12 among them. Where a frame holds two
ratings the shorter core is in proportion to the torque (common practice). The heat transfer coefficient is the one that
just gives the rating, so that it is a figure found; everything else is predicted at the rating.
"""

import math

import numpy as np
from published import frames

from scaling.ground.constants import VALUES
from scaling.ground.materials import CORE_DENSITY
from scaling.laws import geometry
from scaling.models.equivalent_circuit import Circuit
from scaling.models.iron import Iron

SYNCHRONOUS = 1500.0  # rpm
MU_0 = VALUES["mu_0"]
STACKING = 0.96  # the default of Brief
COLUMNS = frames.TABLES["standard_motors"]["columns"]
PLATES = [dict(zip(COLUMNS, row, strict=True)) for row in frames.TABLES["standard_motors"]["data"]]
FRAMES = {frame.name: frame for frame in frames.frames()}


def column(name):
    """Return a column of the nameplates."""
    return np.array([plate[name] for plate in PLATES], float)


def inverted(leakage, core, friction):
    """Return the circuits of all nameplates, per unit of voltage and current, and the friction in them.

    A nameplate has power factor, efficiency and slip; a circuit has five constants and two losses. So stator and rotor
    leakage reactance are taken as equal and given per unit, core loss and friction as shares of all losses: about 0.2
    and 0.1 (common practice). The slip then fixes the power across the gap, and that the rotor's resistance.
    """
    phi, eta, s = column("power_factor"), column("efficiency") / 100, 1 - column("speed") / SYNCHRONOUS
    current = phi - 1j * np.sqrt(1 - phi**2)
    loss = phi * (1 - eta)
    across = (phi * eta + friction * loss) / (1 - s)
    R_1 = phi - core * loss - across
    inside = 1 - current * (R_1 + 1j * leakage)  # voltage at the magnetising branch
    half = abs(inside) ** 2 / across / 2
    r = half + np.sqrt(half**2 - leakage**2)  # R_2/s, from across = |inside|^2*r/(r^2 + leakage^2)
    reactive = (inside * np.conj(current)).imag - abs(inside) ** 2 * leakage / (r**2 + leakage**2)
    reactances = {"X_1": leakage, "X_2": leakage, "X_m": abs(inside) ** 2 / reactive}
    return Circuit(R_1=R_1, R_2=r * s, **reactances, U=1.0, f=50.0, p=2, m_1=1), friction * loss


def brief(plate, coefficient, **given):
    """Return the brief of a nameplate with a heat transfer coefficient [W/m²/K]."""
    frame, power = FRAMES[plate["frame"]], plate["rating"] * 1e3
    share = plate["torque"] / max(other["torque"] for other in PLATES if other["frame"] == plate["frame"])
    length = frames.lengths(frame, power)[1] * share
    return frames.brief(
        frame,
        power,
        **{"cooling": f"{coefficient:.8g} W/m^2/K", "active_length": f"{length:.9g} m"},
        **given,
    )


def saturation(figures):
    """Return the ampere-turns along the field, gap and iron together, over the gap's."""
    bore, k = figures["rotor_diameter"] + 2 * figures["gap"], figures["wave_number"]
    iron = Iron(
        tau=math.pi / k,
        D_i=bore,
        d_s=figures["slot_depth"],
        y=(figures["outside_diameter"] - bore) / 2 - figures["slot_depth"],
        phi_t=frames.TOOTH_SHARE,
        k_s=STACKING,
        D=figures["rotor_diameter"],
        t=figures["rotor_thickness"],
        phi_r=figures["bar_share"],
    )
    B = figures["gap_field_peak"]
    return 1 + iron.ampere_turns(B) / (B * figures["magnetic_gap"] / MU_0)


def at_rating(plate):
    """Return the figures (SI) of the induction machine that just gives the rating, inertia and saturation among them.

    The coefficient is found by secants in logarithms.
    """
    rating = plate["rating"] * 1e3

    def missing(x):
        figures.update(frames.best_induction(brief(plate, math.exp(x))))
        return math.log(figures["power"] / rating)

    figures, x, slope = {}, math.log(35.0), 0.7
    at_x = missing(x)
    for _ in range(9):
        new = float(np.clip(x - at_x / slope, x - 1.0, x + 1.0))
        at_new = missing(new)
        slope = (at_new - at_x) / (new - x)
        x, at_x = new, at_new
        if abs(at_x) < 1e-3:
            break
    figures["inertia"] = geometry.rotor_inertia(
        rho_c=CORE_DENSITY, D=figures["rotor_diameter"], L=figures["active_length"]
    )
    figures["saturation"] = saturation(figures)
    return figures
