"""An induction machine from its equivalent circuit: figures at a slip, largest and starting torque; arrays, SI."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scaling.laws import equivalent_circuit as law
from scaling.laws.geometry import shaft_speed

_AT_SLIP = (
    law.gap_resistance,
    law.gap_reactance,
    law.stator_current,
    law.circuit_power_factor,
    law.rotor_current,
    law.electric_power,
    law.stator_winding_loss,
    law.gap_power,
    law.rotor_winding_loss,
    law.torque_of_gap_power,
    law.shaft_power,
    law.motor_efficiency,
)
_SOURCE = (law.thevenin_voltage, law.thevenin_resistance, law.thevenin_reactance)


@dataclass(frozen=True)
class Circuit:
    """Resistances and reactances of a phase [ohm] at frequency ``f``, rotor referred to the stator; floats or arrays.

    ``U`` is the rms voltage of a phase (in star the line voltage over the root of 3), ``p`` the pole pairs, ``m_1``
    the phases.
    """

    R_1: object
    X_1: object
    R_2: object
    X_2: object
    X_m: object
    U: object
    f: object
    p: object
    m_1: object = 3

    @property
    def goodness(self):
        """Magnetising reactance over rotor resistance."""
        return law.reactance_goodness(X_m=self.X_m, R_2=self.R_2)


class Running(NamedTuple):
    """A machine at a slip; currents are rms of a phase, the rotor's referred to the stator."""

    stator_current: np.ndarray
    rotor_current: np.ndarray
    power_factor: np.ndarray
    speed: np.ndarray
    torque: np.ndarray
    input_power: np.ndarray
    gap_power: np.ndarray
    output_power: np.ndarray
    stator_loss: np.ndarray
    rotor_loss: np.ndarray
    rotational_loss: np.ndarray
    efficiency: np.ndarray


class Breakdown(NamedTuple):
    """The largest torque; a slip above 1 lies beyond standstill, so that a start from rest never meets it."""

    slip: np.ndarray
    speed: np.ndarray
    torque: np.ndarray


def at_slip(circuit, slip, rotational_loss=0.0):
    """Return the Running machine at a slip from 0 to 1, with the rotational loss it has at that speed [W].

    ``torque`` is the electromagnetic one, of the gap power; the shaft's is ``output_power/speed``.
    """
    known = _followed(_AT_SLIP, circuit, s=slip, P_f=rotational_loss)
    names = ("I_1", "I_2", "cos_phi", "Omega", "T_e", "P_1", "P_g", "P_2", "P_w", "P_r", "P_f", "eta")
    return Running(*np.broadcast_arrays(*(known[name] for name in names)))


def breakdown(circuit):
    """Return the Breakdown of a circuit on its supply."""
    known = _followed((*_SOURCE, law.circuit_breakdown_slip, law.circuit_breakdown_torque), circuit, s=0.0)
    speed = shaft_speed(f=circuit.f, p=circuit.p, s=known["s_b"])
    return Breakdown(*np.broadcast_arrays(known["s_b"], speed, known["T_m"]))


def starting_torque(circuit):
    """Return the torque at standstill [N·m]."""
    return _followed((*_SOURCE, law.circuit_torque), circuit, s=1.0)["T_e"]


def _followed(formulas, circuit, s, **given):
    """Return everything known after the formulas, each of which may use what those before it gave."""
    known = vars(circuit) | given | {"s": s}
    known["Omega"] = shaft_speed(f=circuit.f, p=circuit.p, s=s)
    known["Omega_0"] = shaft_speed(f=circuit.f, p=circuit.p, s=0.0)
    for formula in formulas:
        known[formula.of] = formula(**{name: known[name] for name in formula.args})
    return known
