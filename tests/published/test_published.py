"""Published values: every row of every table beside this file is evaluated by a small named function of the package.

A table is typed from its source, never from the package. Status: P published and seen, D derived again for the
project, C common practice, M from memory. Rows of status M alone, rows with an unreadable cell (null) and tables with
a reason in "skip" are shown as skips. A row ends in the value expected, or in a low and a high limit. `pytest -rP`
prints every value.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest
import sympy as sp

from scaling.ground.constants import VALUES
from scaling.ground.materials import CONDUCTORS, ENAMEL, LOOP_MATERIALS, T_20
from scaling.ground.symbols import symbol
from scaling.laws import (
    circuits,
    geometry,
    hysteresis,
    induction,
    magnet,
    motion,
    reluctance,
    stage,
    start,
    strength,
    wire,
)
from scaling.laws import heat as heat_law
from scaling.laws import loop as loop_law
from scaling.models import heat, loops

KEYS = ["source", "locator", "status", "check", "units", "columns", "data", "rtol", "note"]
ANSWERS = (["expected"], ["low", "high"])
MU_0 = VALUES["mu_0"]
KELVIN = 273.15
RPM = 2 * math.pi / 60


# Scaling itself


def factor_when_every_length_doubles(quantity):
    def of(scale):
        R = circuits.resistance(rho=2e-8, ell=0.3 * scale, a_c=1e-4 * scale**2)
        R_m = circuits.reluctance(mu=5e-3, ell=0.2 * scale, a_c=4e-4 * scale**2)
        merit = circuits.circuit_goodness(omega=1.0, R=R, R_m=R_m)
        return {"resistance": R, "reluctance": R_m, "merit": merit}[quantity]

    return of(2.0) / of(1.0)


def loading(scale, held):
    """Return the linear current density of a stage of a given size, with the stated quantity held."""
    d_s = 0.01 * scale
    if held == "current density":
        return 1.0 / stage.winding_loading(A=1.0, k_w=1.0) * 5e6 * 0.2 * d_s
    h = heat_law.conduction_coefficient(lambda_m=0.5, S_o=scale**2) if held == "temperature rise" else 10.0
    passed = stage.heat_allowed(h=h, theta=50.0, S_o=2 * scale**2, S_b=scale**2)
    per_square = stage.winding_heat_factor(rho=2e-8, e=1.0, k_w=1.0, phi_s=0.2, d_s=d_s)
    return np.sqrt(passed / per_square)


def force_exponent(field_from, held):
    def force(scale):
        A = loading(scale, held)
        if field_from == "magnet":
            shear = magnet.magnet_shear_stress(B_m=0.5, A=A)
        else:
            shear = stage.shear_stress(A=A, k=30.0 / scale, g_m=1e-3 * scale, Lambda=0.3)
        return shear * geometry.bore_area(D=scale, L=scale)

    return math.log2(force(2.0) / force(1.0))


def force_per_volume_of_a_reduced_machine(pair, reduction, current_density_factor, frequency_factor):
    def density(scale, more_current, more_frequency):
        A, k, g_m = more_current * loading(scale, "current density"), 30.0 / scale, 1e-3 * scale
        sheet = induction.surface_conductance(t=1e-4 * scale, phi_r=1.0, rho=2e-8, e_r=0.0)
        G = induction.goodness(f=1e-3 * more_frequency, tau=math.pi / k, sigma_s=sheet, g_m=g_m)
        response = induction.induction_response(x=induction.slip_goodness(s=0.1, G=G))
        shear = {
            "magnet-current": magnet.magnet_shear_stress(B_m=0.5, A=A),
            "current-iron": stage.shear_stress(A=A, k=k, g_m=g_m, Lambda=0.3),
            "induction by current": stage.shear_stress(A=A, k=k, g_m=g_m, Lambda=response),
        }[pair]
        return shear / scale

    return density(1 / reduction, current_density_factor, frequency_factor) / density(1.0, 1.0, 1.0)


# Induction


def current_fed_induction_motor(quantity, unit):
    """Leakage X_2 in series with R_2 is a magnetising branch of X = X_m + X_2 fed by the current times X_m/X."""
    R_2, X_2, X_m, current, s, p, rotational_loss = 0.144, 0.209, 13.25, 18.8, 0.02, 3, 403.0
    G = goodness_of_a_circuit(X_m + X_2, R_2)
    response = induction.induction_response(x=induction.slip_goodness(s=s, G=G))
    crossing = 3 * current**2 * X_m**2 / (X_m + X_2) * response
    speed = geometry.shaft_speed(f=60.0, p=p, s=s)
    power = crossing * (1 - s) - rotational_loss
    return {"speed": speed / RPM, "torque": power / speed, "power": power}[quantity]


def goodness_of_a_circuit(X_m, R_2):
    return circuits.circuit_goodness(omega=1.0, R=R_2, R_m=1 / X_m)


# Loadings


def effective_gap(slot, tooth, gap):
    return gap * stage.carter_coefficient(tau_u=slot + tooth, b_u=slot, g=gap)


def sinusoidal_shear_stress(linear_current_density, mean_gap_field, winding_factor):
    """Return the shear stress at unit power factor; the mean field over a pole is 2/pi of the peak."""
    A = linear_current_density / stage.winding_loading(A=1.0, k_w=winding_factor)
    return magnet.magnet_shear_stress(B_m=math.pi / 2 * mean_gap_field, A=A)


def shear_stress_of_a_rated_motor(
    linear_current_density, mean_gap_field, winding_factor, efficiency, power_factor, synchronous_speed, speed
):
    apparent = sinusoidal_shear_stress(linear_current_density, mean_gap_field, winding_factor)
    return apparent * efficiency * power_factor * synchronous_speed / speed / 1e3


def output_coefficient():
    return 2 * math.pi * geometry.gap_torque(sigma_t=sinusoidal_shear_stress(1.0, 1.0, 1.0), D=1.0, L=1.0)


# Hysteresis


def field_at(flux_density, loop):
    return np.exp(loops.root(lambda at: loops.peak_flux_density(np.exp(at), loop) - flux_density, 0.0, 16.0, steps=80))


def loop_energy_at_one_tesla(material):
    loop = loops.fitted(LOOP_MATERIALS[material])
    return loops.energy(field_at(1.0, loop), loop)


def lag_angle(material, flux_density):
    """Steinmetz's: flux density a sine, the distorted current replaced by the sine of its root mean square."""
    loop = loops.fitted(LOOP_MATERIALS[material])
    H = field_at(flux_density, loop)
    field = np.linspace(H, -H, 20001)
    angle = np.arccos(np.clip(loops.falling_branch(field, H, loop) / flux_density, -1, 1))
    equivalent = np.sqrt(2 * np.trapezoid(field**2, angle) / math.pi)
    return math.degrees(math.asin(loops.energy(H, loop) / (math.pi * flux_density * equivalent)))


def rayleigh_energy(rayleigh_constant, field):
    """A loop with mu_0*nu = B_s/(4*H_a*H_c), so far below its field constant that 15 digits would not do."""
    loop = dict.fromkeys(("H", "H_k", "H_i", "H_j"), field) | dict.fromkeys(("H_a", "H_b", "H_c"), 1e9 * field)
    loop |= {"m_c": 0.0, "w_c": 0.1, "B_s": 4 * loop["H_c"] ** 2 * MU_0 * rayleigh_constant}
    return loop_law.loop_energy.expr.evalf(60, subs={symbol(name): sp.Float(v, 60) for name, v in loop.items()})


def hysteresis_motor(quantity):
    p = 16
    torque = hysteresis.steinmetz_torque(p=p, V_r=1e-5, W_h=0.8 / p / 1e-5)  # p cycles a revolution
    speed = geometry.shaft_speed(f=60.0, p=p, s=0.0)
    return {"torque": torque, "speed": speed / RPM, "power": torque * speed}[quantity]


def material_record(material, quantity):
    """Of the flux density B, mu_0*H included."""
    loop = loops.fitted(LOOP_MATERIALS[material])
    outer = {name: loop[name] for name in loop_law.loop_remanence.args}
    if quantity == "remanence":
        return loop_law.loop_remanence(**outer)
    if quantity == "energy product":
        return loops.energy_product(loop) / 1e3
    return loops.root(lambda H: MU_0 * H - loop_law.demagnetised_flux_density(H=H, **outer), 0.0, loop["H_c"]) / 1e3


# Reluctance


def permeance(radius, arc, axial, gap):
    """Return the permeance of two gaps in series under an arc of overlap; millimetres and radians."""
    area = radius * arc * axial * 1e-6
    return 1 / circuits.reluctance(ell=2e-3 * gap, mu=MU_0, a_c=area)


def inductance_of_facing_poles(turns, radius, arc, axial, gap):
    return turns**2 * permeance(radius, math.radians(arc), axial, gap)


def torque_of_overlapping_poles(turns, current, radius, axial, gap):
    """Half of ampere-turns squared times the change of permeance with angle, which is even over the overlap."""
    return (turns * current) ** 2 / 2 * (permeance(radius, 0.6, axial, gap) - permeance(radius, 0.5, axial, gap)) / 0.1


def torque_at_a_gap_field(field, radius, axial, gap):
    return torque_of_overlapping_poles(1, field * 2e-3 * gap / MU_0, radius + gap / 2, axial, gap)


def salient_rotor_torque(mean_inductance, swing, current):
    d, q = (mean_inductance + swing) / 1e3, (mean_inductance - swing) / 1e3
    return current**2 * reluctance.reluctance_response(P_d=d, P_q=q, tan_delta=1.0)


def toothed_rotor_speed(frequency, teeth):
    return geometry.shaft_speed(f=frequency, p=teeth / 2, s=0.0) / RPM


# Heat and conductors


def heat_of_a_pipe_per_length(diameter, surface, ambient, emissivity):
    rise = surface - ambient
    return heat.still_air_coefficient(diameter, ambient + KELVIN, rise, emissivity) * rise * math.pi * diameter


def conductor_record(conductor, quantity):
    metal = CONDUCTORS[conductor]
    cold, hot = (
        stage.resistivity_at(sigma_20=metal.conductivity, alpha_20=metal.temperature_coefficient, T=T, T_20=T_20)
        for T in (T_20, T_20 + 100)
    )
    return 1e-6 / cold if quantity == "conductivity" else (hot / cold - 1) / 100


# The one loop

# What binds by size


def rotating_disc_stress(bore, diameter, speed, density, poisson):
    """Bore 0 is the solid disc, a bore as wide as the disc the thin ring."""
    solid = strength.solid_disc_coefficient(nu_p=poisson)
    c_v = strength.bored_disc_coefficient(nu_p=poisson, D_b=bore, D=diameter) if bore else solid
    v_r = strength.rim_speed(Omega=speed * RPM, D=diameter / 1e3)
    return strength.centrifugal_stress(c_v=c_v, rho_b=density, v_r=v_r) / 1e6


def conductor_in_enamel(overall):
    return wire.conductor_diameter(d_i=overall, phi_w=wire.wire_copper_share(d_i=overall / 1e3, **ENAMEL))


def skin_depth_of(conductor, frequency):
    return wire.skin_depth(rho=1 / CONDUCTORS[conductor].conductivity, f=frequency) * 1e3


def pull_in_slip_coefficient():
    """The slip at which kinetic energy in the field's frame is what the best angle catches, at 1 rpm, kW, kg*m², Hz."""
    number = start.pull_in_number(p=60.0, T_e=1e3 / RPM, J=1.0, omega=2 * math.pi)
    return float(np.sqrt(number / motion.favourable_pull_in_need(n_T=1.0, l_T=0.0)))


CHECKS = {
    check.__name__: check
    for check in (
        conductor_in_enamel,
        conductor_record,
        current_fed_induction_motor,
        effective_gap,
        factor_when_every_length_doubles,
        force_exponent,
        force_per_volume_of_a_reduced_machine,
        goodness_of_a_circuit,
        heat_of_a_pipe_per_length,
        hysteresis_motor,
        inductance_of_facing_poles,
        lag_angle,
        loop_energy_at_one_tesla,
        material_record,
        output_coefficient,
        pull_in_slip_coefficient,
        rayleigh_energy,
        rotating_disc_stress,
        salient_rotor_torque,
        shear_stress_of_a_rated_motor,
        skin_depth_of,
        toothed_rotor_speed,
        torque_at_a_gap_field,
        torque_of_overlapping_poles,
    )
}
TABLES = {
    path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(Path(__file__).parent.glob("*.json"))
}


def answer_columns(table):
    return next((names for names in ANSWERS if table["columns"][-len(names) :] == names), None)


def table_faults(table):
    """Return what is wrong with the form of a table."""
    faults = [f"no {key}" for key in KEYS if key not in table]
    faults += [f"unknown {key}" for key in table if key not in [*KEYS, "skip"]]
    if faults:
        return faults
    faults += [f"empty {key}" for key in ("source", "locator", "note", "data") if not table[key]]
    faults += ["status"] if not set(table["status"].split(", ")) <= set("PMDC") else []
    faults += ["units"] if list(table["units"]) != table["columns"] else []
    faults += ["answer"] if answer_columns(table) is None else []
    faults += ["check"] if table["check"] not in CHECKS else []
    faults += ["length of a row"] if any(len(row) != len(table["columns"]) for row in table["data"]) else []
    return faults + (["rtol"] if not 0 <= table["rtol"] < 0.05 else [])


def reason_to_skip(table, row):
    """Return why a row is not asserted, or None."""
    if table["status"] == "M":
        return f"from memory only: {table['source']}"
    if None in row:
        return "unreadable cell"
    return table.get("skip")


def within(value, answer, rtol):
    """Tell whether a value is the one expected, or lies between a low and a high limit."""
    low, high = (min(answer), max(answer))
    return low - rtol * abs(low) <= value <= high + rtol * abs(high)


ROWS = [
    pytest.param(table, row, id="-".join([name, *map(str, row)]))
    for name, table in TABLES.items()
    for row in table.get("data", [])
]


@pytest.mark.parametrize("table", TABLES.values(), ids=TABLES)
def test_table_is_complete(table):
    assert table_faults(table) == []


def test_every_check_has_a_table():
    assert {table["check"] for table in TABLES.values()} == set(CHECKS)


@pytest.mark.parametrize(("table", "row"), ROWS)
def test_published_value(table, row):
    if reason := reason_to_skip(table, row):
        pytest.skip(reason)
    given = dict(zip(table["columns"], row, strict=True))
    answer = [given.pop(name) for name in answer_columns(table)]
    value = float(CHECKS[table["check"]](**given))
    report = f"{table['source']}, {table['locator']}: {answer} published, {value:.6g} computed, rtol {table['rtol']}"
    print(report)
    assert within(value, answer, table["rtol"]), report


def test_every_way_to_skip_is_known():
    table = {"status": "M, D", "source": "a book"}
    assert reason_to_skip(table, [1.0]) is None
    assert reason_to_skip(table, [None]) == "unreadable cell"
    assert reason_to_skip(table | {"skip": "no"}, [1.0]) == "no"
    assert reason_to_skip(table | {"status": "M"}, [1.0]) == "from memory only: a book"


@pytest.mark.parametrize(
    ("answer", "rtol", "good", "bad"),
    [
        ([2.74], 1e-2, (2.72, 2.76), (2.71, 2.77, math.nan)),
        ([48, 52], 0, (48, 50, 52), (47.9, 52.1)),
        ([-1], 0.1, (-1.05,), (1, -1.2)),
    ],
)
def test_limits_are_seen(answer, rtol, good, bad):
    assert all(within(value, answer, rtol) for value in good)
    assert not any(within(value, answer, rtol) for value in bad)


@pytest.mark.parametrize(
    "change",
    [
        {"status": "Q"},
        {"source": ""},
        {"check": "nothing"},
        {"columns": ["slot", "expected"]},
        {"data": [[12, 12, 2]]},
        {"rtol": 0.5},
        {"more": 1},
    ],
)
def test_a_fault_of_a_table_is_seen(change):
    assert table_faults(TABLES["sawhney_3_1_carter_exact"] | change)
