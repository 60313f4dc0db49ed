"""Published checks of induction machines: equivalent circuits, goodness by rating, efficiency classes."""

import math

import numpy as np
from records import row, rows

from scaling import Brief, Q, choose, sweep
from scaling.decision.at_load import load_curve
from scaling.laws import circuits, equivalent_circuit, geometry, induction
from scaling.models.equivalent_circuit import Circuit, at_slip, breakdown
from scaling.models.search import root

RPM = 2 * math.pi / 60
IMPEDANCES = ("R_1", "X_1", "R_2", "X_2", "X_m")
# Ratings in kW of EN 50347 and IEC 60072-1 in the range of the efficiency classes (from memory, confirmed by a table
# of motors built to it).
RATINGS = (0.12, 0.18, 0.25, 0.37, 0.55, 0.75, 1.1, 1.5, 2.2, 3, 4, 5.5, 7.5, 11, 15, 18.5, 22, 30, 37, 45, 55, 75, 90)
RATINGS += (110, 132, 160, 200)
SPANS = {"all": (0.12, 200), "small": (0.12, 0.55), "large": (0.75, 200)}  # kW


# Circuits


def motor(machine):
    """Return the Circuit of a textbook machine in star, and its record."""
    known = row("textbook_circuits", machine=machine)
    pole_pairs = (known["poles"] or 2) / 2  # powers and currents at a slip do not depend on it
    supply = {"U": known["line_voltage"] / math.sqrt(3), "f": known["frequency"], "p": pole_pairs}
    return Circuit(**{name: known[name] for name in IMPEDANCES}, **supply), known


def circuit_at_slip(machine, slip, quantity, unit):
    circuit, known = motor(machine)
    run = at_slip(circuit, slip, known["rotational_loss"] or 0.0)
    return {
        "speed": run.speed / RPM,
        "shaft torque": run.output_power / run.speed if slip < 1 else math.nan,
        "torque": run.torque,
        "output": run.output_power / 1e3,
        "stator current": run.stator_current,
        "rotor current": run.rotor_current,
        "power factor": run.power_factor,
        "efficiency": 100 * run.efficiency,
    }[quantity]


def breakdown_of_circuit(machine, quantity, unit):
    at = breakdown(motor(machine)[0])
    return {"torque": at.torque, "slip": at.slip, "speed": at.speed / RPM}[quantity]


def rated_over_breakdown_slip(machine):
    """Return where the circuit gives its rating, NaN if nowhere below its breakdown slip."""
    circuit, known = motor(machine)

    def missing(slip):
        return at_slip(circuit, slip).output_power / 1e3 - known["rating"]

    largest = breakdown(circuit).slip
    return root(missing, 0.0, largest) / largest if missing(largest) > 0 else math.nan


def load_of_highest_efficiency(machine):
    """Return the output at which a textbook circuit or our own machine of 10 hp is most efficient, over its rating."""
    if machine == "our own":
        given = {"rotor_diameter": "150 mm", "cooling": "shaft fan", "pole_pairs": 2, "starting_torque_ratio": 1.0}
        design = choose(Brief(**given))["induction"]
        curve = load_curve(design)
        return (curve.power[np.argmax(curve.efficiency)] / design.power).m_as("")
    circuit, known = motor(machine)
    run = at_slip(circuit, np.linspace(1e-4, breakdown(circuit).slip, 2000), known["rotational_loss"])
    return run.output_power[np.argmax(run.efficiency)] / 1e3 / known["rating"]


def current_fed_induction_motor(quantity, unit):
    """Leakage X_2 in series with R_2 is a magnetising branch of X = X_m + X_2 fed by the current times X_m/X."""
    circuit, known = motor("Fitzgerald 6.2")
    current, s = 18.8, 0.02
    X = circuit.X_m + circuit.X_2
    G = goodness_of_a_circuit(X, circuit.R_2)
    response = induction.induction_response(x=induction.slip_goodness(s=s, G=G))
    crossing = 3 * current**2 * circuit.X_m**2 / X * response
    speed = geometry.shaft_speed(f=circuit.f, p=circuit.p, s=s)
    power = crossing * (1 - s) - known["rotational_loss"]
    return {"speed": speed / RPM, "torque": power / speed, "power": power}[quantity]


def goodness_of_a_circuit(X_m, R_2):
    return circuits.circuit_goodness(omega=1.0, R=R_2, R_m=1 / X_m)


# Goodness by rating


def slope(x, y):
    return np.polyfit(np.log(x), np.log(y), 1)[0]


def exponent_of_goodness(and_machine):
    """Return the exponent of goodness against power over the textbook machines, and one more if named."""
    machines = [(known["power"], known["goodness"]) for known in rows("goodness_of_textbook_machines")]
    if and_machine:
        known = row("textbook_circuits", machine=and_machine)
        goodness = equivalent_circuit.reactance_goodness(X_m=known["X_m"], R_2=known["R_2"])
        machines.append((known["rating"], goodness))
    return slope(*zip(*machines, strict=True))


# Efficiency classes


def class_efficiency(efficiency_class, power):
    """Return the least efficiency in % of a class, 4 poles, 50 Hz, power in kW; NaN outside the ranges of the table."""
    for known in rows("iec_60034_30_1_coefficients"):
        if known["efficiency_class"] == efficiency_class and known["from_power"] <= power <= known["to_power"]:
            return np.polyval([known[name] for name in "ABCD"], math.log10(power))
    return math.nan


def loss_over_output(efficiency):
    return (1 - efficiency) / efficiency


def exponent_of_loss(span):
    """Return the mean over the classes of the exponent of loss over output against power."""
    low, high = SPANS[span]
    powers = [power for power in RATINGS if low <= power <= high]
    return np.mean(
        [
            slope(powers, [loss_over_output(class_efficiency(name, power) / 100) for power in powers])
            for name in ("IE2", "IE3", "IE4")
        ]
    )


def steepening_of_our_own():
    """Return the exponent of loss over output of small over that of large fan-cooled four-pole induction machines."""
    brief = Brief(rotor_diameter="100 mm", cooling="shaft fan", pole_pairs=2, supply_frequency="50 Hz")
    figures = sweep(brief, Q(np.geomspace(0.04, 0.35, 14), "m")).figures["induction"]
    power, loss = figures["power"] / 1e3, loss_over_output(figures["efficiency"])
    small, large = ((SPANS[span][0] <= power) & (power <= SPANS[span][1]) for span in ("small", "large"))
    return slope(power[small], loss[small]) / slope(power[large], loss[large])


CHECKS = {
    check.__name__: check
    for check in (
        breakdown_of_circuit,
        circuit_at_slip,
        class_efficiency,
        current_fed_induction_motor,
        exponent_of_goodness,
        exponent_of_loss,
        goodness_of_a_circuit,
        load_of_highest_efficiency,
        rated_over_breakdown_slip,
        steepening_of_our_own,
    )
}
