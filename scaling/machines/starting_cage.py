"""The starting cage of a rotor that a fixed supply has to pull in: aluminium, cast where there is room.

Between salient poles and in flux barriers it fills what is empty anyway; below surface magnets it takes the iron that
the magnets' field does not need. So it changes nothing but the start, and the mass of its end rings: the rotor's mass
counts as that of a solid cylinder of iron, whatever is in it. It is as deep as the space and as wide as may be.
"""

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, induction, two_axis
from scaling.laws import stator as stator_laws
from scaling.machines.fed import stands
from scaling.machines.leakage import drawn, leakage_reactance
from scaling.machines.winding import resistivity

CONDUCTOR = materials.CONDUCTORS["aluminium"]  # as cast rotors have it: common practice
mu_0 = VALUES["mu_0"]


@dataclass(frozen=True)
class Bars:
    """Room of the bars: ``thickness`` of their layer and its depth below the surface, shares that count in both axes.

    ``share`` is that of the layer which conducts, for leakage.
    """

    thickness: np.ndarray
    below: np.ndarray | float
    share: np.ndarray
    d_share: np.ndarray
    q_share: np.ndarray


def between_poles(height, arc):
    """Return the bars that fill the space between poles, whose arc is given over the pole pitch."""
    d_share, q_share = two_axis.interpolar_d_axis_share(alpha=arc), two_axis.interpolar_q_axis_share(alpha=arc)
    return Bars(height, 0.0, 1.0 - arc, d_share, q_share)


def in_barriers(pitch, share):
    """Return the bars that fill flux barriers of a pole pitch."""
    depth = two_axis.barrier_bar_depth(tau=pitch)
    return Bars(depth, 0.0, share, share, two_axis.barrier_q_axis_share(kappa_b=share))


def below_magnets(stator, thickness, gap_field):
    """Return the bars in the iron below surface magnets that a gap field does not need, most conductor of all.

    A cage in the magnets' own layer would have the gaps between them only, hardly any in one axis; a sleeve over
    them would widen the gap.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        within = stator.D - 2 * thickness
        teeth = stator_laws.rotor_tooth_limited_gap_field(
            B_t=stator.si.tooth_field_limit,
            phi_r=0.0,
            k_s=stator.si.stacking_factor,
            D=stator.D,
            D_i=stator.bore,
            t=0.0,
        )
        needed = gap_field / teeth * stator.D
        core = gap_field / stator.core_limit(0.0) * stator.D
        ground = np.maximum(two_axis.bar_ground_diameter(D_m=within, D_l=needed), core)
        depth = np.minimum((within - ground) / 2, stator.rotor_depth)
        depth = np.where(depth > 0.0, depth, np.nan)
        share = 1.0 - needed / (within - 2 * depth)
    return Bars(depth, thickness, share, share, share)


@dataclass(frozen=True)
class StartingCage:
    """A cage on a fed stator, and the voltage of the running point; resistances per gap area and square of loading.

    ``P_d`` and ``P_q`` are the permeances of both axes over that of the smooth gap ``gap``; ``running`` is the peak
    loading of the running point, ``voltage_of(circuit)`` its voltage from {"R", "X_d", "X_q"}; ``magnets`` is the
    voltage of their field; ``leakage_gap`` is the gap of the differential leakage if not ``gap``.
    """

    fed: Any
    bars: Bars
    gap: np.ndarray
    P_d: np.ndarray | float
    P_q: np.ndarray | float
    running: np.ndarray
    voltage_of: Callable[..., Any]
    magnets: np.ndarray | float = 0.0
    leakage_gap: np.ndarray | None = None

    @property
    def stator(self):
        """The stator it faces."""
        return self.fed.stator

    @functools.cached_property
    def fitted(self):
        """Where it can be: there is room, its rings stand the speed, and no backward wave would heat it."""
        stator = self.stator
        alone = (stator.backward == 0.0) & (stator.backward_at_rest == 0.0)
        rim = self.fed.field_speed * stator.D / stator.bore
        return np.isfinite(np.sum(self._axes["R_2"], axis=0)) & alone & (rim <= stands(CONDUCTOR.name, stator.si))

    @functools.cached_property
    def ring(self):
        """Width of its end rings [m]."""
        return np.minimum(self.stator.si.end_ring_ratio * self.stator.D, self.stator.overhang)

    @functools.cached_property
    def ring_mass(self):
        """Mass of its end rings [kg]."""
        outer = self.stator.D - 2 * self.bars.below
        return geometry.end_ring_mass(D=outer, t=self.bars.thickness, w_e=self.ring, rho_w=CONDUCTOR.density)

    def _resistance(self, share):
        """Return the resistance of bars of a share at the rotor's surface, end rings included [ohm]."""
        stator, bars = self.stator, self.bars
        whole = bars.below + bars.thickness
        volume = stator.volume_thickness(whole) - stator.volume_thickness(bars.below)
        k = 2 * stator.p / (stator.D if stator.is_plane else stator.D - bars.below - whole)
        ends = geometry.end_ring_share(phi_r=share, k=k, L=stator.width, w_e=self.ring)
        rho = resistivity(CONDUCTOR, stator.si)
        return 1.0 / induction.surface_conductance(t=volume, phi_r=share, rho=rho, e_r=ends)

    @functools.cached_property
    def R(self):
        """Resistance of the winding."""
        return 2 * self.fed.loading_heat_factor

    def leak(self, loadings=None):
        """Return the reactance in series with both axes: of the winding, and of the gap's field that misses the rotor.

        With Loadings, the stator's tooth tips saturate.
        """
        gap = self.gap if self.leakage_gap is None else self.leakage_gap
        own = leakage_reactance(self.stator, self.fed.frequency, gap, loadings)
        return own + mu_0 * self.fed.field_speed * np.tanh(self.stator.k * self.gap)

    @functools.cached_property
    def _axes(self):
        """Constants of both axes' circuits, d and q along the first axis."""
        stator, bars, v = self.stator, self.bars, mu_0 * self.fed.field_speed
        T = np.tanh(stator.k * self.gap)
        depth = stator.unrolled(bars.below + bars.thickness) - stator.unrolled(bars.below)
        with np.errstate(invalid="ignore", divide="ignore"):
            X_2 = v * (1 - T**2) * stator.k * depth / (3 * bars.share)
            P_d, P_q, d_share, q_share, X_2, _ = np.broadcast_arrays(
                self.P_d, self.P_q, bars.d_share, bars.q_share, X_2, self.leak()
            )
            P, share, X_2 = np.stack([P_d, P_q]), np.stack([d_share, q_share]), np.stack([X_2, X_2])
            return {"X_m": v * (P / T - T), "X_2": X_2, "R_2": (1 - T**2) * self._resistance(share)}

    @functools.cached_property
    def still(self):
        """Resistance and reactances in step."""
        X_d, X_q = self.leak() + self._axes["X_m"]
        return {"R": self.R, "X_d": X_d, "X_q": X_q}

    @functools.cached_property
    def voltage(self):
        """Voltage of the running point."""
        return self.voltage_of(self.still)

    def circuit(self, slip):
        """Return resistance and both axes' reactances at a slip, as the laws take them; NaN without room for bars.

        Tooth tips are saturated by the current that the voltage drives.
        """
        respond = self._responses(slip)
        return drawn(respond, self.running, self.stator.saturating_loading)[0]

    def _responses(self, slip):
        """Return the function of Loadings that returns the circuit at a slip, and its loading."""
        more = max(np.ndim(slip) - self._axes["R_2"][0].ndim, 0)  # several slips stand before what they apply to
        axes = {name: value.reshape(2, *(1,) * more, *value.shape[1:]) for name, value in self._axes.items()}
        with np.errstate(invalid="ignore", divide="ignore"):
            x_d, x_q = two_axis.axis_reactance(X_1=0.0, s=slip, **axes)
            y_d, y_q = two_axis.axis_damping(s=slip, **axes)
        rotor = {"R": self.R, "s": slip, "y_d": y_d, "y_q": y_q}

        def respond(loadings):
            leak = self.leak(loadings)
            circuit = {"x_d": x_d + leak, "x_q": x_q + leak, **rotor}
            with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
                return circuit, two_axis.asynchronous_loading(U_s=self.voltage, **circuit)

        return respond

    def shear(self, slip):
        """Return the mean shear stress at a slip, below zero where resistance or magnets brake more."""
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            power = two_axis.asynchronous_gap_power(U_s=self.voltage, **self.circuit(slip))
            if np.any(self.magnets):
                power = power - two_axis.magnet_brake(E_s=self.magnets, R=self.R, X=self.still["X_d"], s=slip)
            return power / self.fed.field_speed

    def loading(self, slip):
        """Return the loading at a slip; with magnets, that which the supply alone drives."""
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            return two_axis.asynchronous_loading(U_s=self.voltage, **self.circuit(slip))

    @functools.cached_property
    def brake(self):
        """Shear stress by which resistance or magnets brake at synchronism, where the cage has no torque."""
        return -self.shear(0.0)

    @functools.cached_property
    def damping(self):
        """Shear stress per slip near synchronism."""
        y_d, y_q = self._axes["X_m"] ** 2 / self._axes["R_2"]
        return two_axis.damping_power(U_s=self.voltage, y_d=y_d, y_q=y_q, **self.still) / self.fed.field_speed

    @functools.cached_property
    def dip(self):
        """Slip at which the torque is small: near rest by magnets, else below half speed by the unlike axes."""
        with np.errstate(invalid="ignore", divide="ignore"):
            if np.any(self.magnets):
                return 1.0 - np.minimum(self.R / self.still["X_d"], 1.0)
            circuit, _ = self._responses(0.5)(None)
            return two_axis.dip_slip(**{name: value for name, value in circuit.items() if name != "s"})
