"""The conducting layer of an induction rotor: bars of a cage in iron slots with their end rings, or a plain sheet."""

import functools
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from scaling.ground.constants import VALUES
from scaling.laws import equivalent_circuit, geometry, induction, leakage, reserve, surface
from scaling.laws import stator as stator_laws
from scaling.machines.fed import pull_out_reserve
from scaling.machines.iron import iron_of
from scaling.machines.leakage import gap_left, leakage_reactance, lips_left, saturating_loading
from scaling.models.bars import tapered_bars
from scaling.models.layered import Section, over

SHALLOWEST = 0.1  # bars and end rings tried, as a part of the largest
THINNEST = 1e-3  # sheet tried, as a part of the deepest
LEVEL = 0.05  # of the places to either side of 1/2, that a search meets it
LEAST_SHARE = 0.1  # of the bars in their layer, or of the teeth
mu_0 = VALUES["mu_0"]


@dataclass(frozen=True)
class ConductingLayer:
    """A conducting layer behind a gap. Its subclasses say what the field meets; lengths are those of the round machine.

    ``gap`` lies before the surface whose admittance is given, ``magnetic_gap`` is that of the thin-gap laws; both are
    unrolled. ``rough`` leaves skin effect out. ``ring`` is the width of the end rings.
    """

    fed: Any
    rho: np.ndarray
    thickness: np.ndarray
    ring: np.ndarray
    rough: bool
    share: np.ndarray | float = 1.0
    tip: np.ndarray | float = 0.0
    form: dict = field(default_factory=dict)

    def on(self, fed):
        """Return the same layer on another fed stator."""
        return replace(self, fed=fed)

    @property
    def stator(self):
        """The stator it faces."""
        return self.fed.stator

    @functools.cached_property
    def volume(self):
        """Volume of the layer per bore area [m]."""
        return self.stator.volume_thickness(self.thickness)

    @functools.cached_property
    def end_share(self):
        """End-ring loss over the loss in the bars, at the mean radius of both."""
        stator = self.stator
        k = 2 * stator.p / (stator.D if stator.is_plane else stator.D - self.thickness - self.tip)
        return geometry.end_ring_share(phi_r=self.share, k=k, L=stator.width, w_e=self.ring)

    def ring_mass(self, density):
        """Return the mass of the end rings [kg]."""
        return geometry.end_ring_mass(
            D=self.stator.D - 2 * self.tip, t=self.thickness - self.tip, w_e=self.ring, rho_w=density
        )

    @property
    def sizes(self):
        """What was chosen for it, {name of a figure: ratio}."""
        opening = {"rotor_slot_opening_ratio": self.form["opening"] / self.form["pitch"]} if self.form else {}
        return {"bar_share": self.share, "end_ring_width": self.ring, **opening}

    @functools.cached_property
    def field_gap(self):
        """Gap that the laws of a thin gap take for the field."""
        return surface.field_gap(k=self.stator.k, g_m=self.magnetic_gap)

    @functools.cached_property
    def G(self):
        """Goodness."""
        conductance = induction.surface_conductance(t=self.volume, phi_r=self.share, rho=self.rho, e_r=self.end_share)
        return induction.goodness(f=self.fed.frequency, tau=self.stator.tau, sigma_s=conductance, g_m=self.field_gap)

    @functools.cached_property
    def through(self):
        """Share of the gap field at the stator face that the rotor cannot expel, squared."""
        return (self.stator.k * self.field_gap) ** 2

    @functools.cached_property
    def heat_ratios(self):
        """Slip and core heat over winding heat, as they warm the winding, for the laws of the best slip."""
        fed, k = self.fed, self.stator.k
        with np.errstate(over="ignore"):  # a gap of many pole pitches
            g_t = surface.traction_gap(k=k, g_m=self.magnetic_gap)
        w_A = fed.loading_budget_factor
        beta_c = stator_laws.core_heat_ratio(w_B=fed.core_budget_factor, w_A=w_A, k=k, g_m=self.field_gap)
        beta_w = stator_laws.slip_heat_ratio(v_s=fed.field_speed * fed.warmth.rotor, k=k, g_m=g_t, w_A=w_A)
        return {"beta_w": beta_w + self.G * beta_c * self.through**2, "beta_c": beta_c}

    def shallow(self, slip):
        """Return the surface admittance at a slip without skin effect: slip resistance and leakage in series."""
        Y_i = slip * self.G * self.stator.k * self.field_gap
        return over(Y_i, Y_i * self.inner_leakage - 1j)

    def outer_leakage(self, loadings=None):
        """Return the leakage in series with the conductors: none but in slots. With Loadings, tooth tips saturate."""
        return 0.0

    @property
    def saturating_loading(self):
        """Peak loading from which on tooth tips of either side saturate."""
        return self.stator.saturating_loading

    @property
    def leakage(self):
        """All leakage in series, without skin effect."""
        return self.inner_leakage + self.outer_leakage()

    def behind_tips(self, slip):
        """Return the surface admittance of the conductors at a slip, without what is in series."""
        with np.errstate(invalid="ignore", divide="ignore"):  # no slip where nothing runs
            return self.shallow(slip) if self.rough else self.met(slip)

    def admittance(self, behind, loadings=None):
        """Return the two parts of the surface admittance, given that behind the tooth tips."""
        met = over(behind, 1.0 + behind * self.outer_leakage(loadings))
        return met.real, met.imag

    @functools.cached_property
    def circuit(self):
        """Constants of the circuit per gap area and peak loading squared, from the field in the gap."""
        stator, v = self.stator, mu_0 * self.fed.field_speed
        T = np.tanh(stator.k * self.magnetic_gap)
        crosses = v * (1 - T**2)
        with np.errstate(divide="ignore"):
            R_2 = crosses / (self.G * stator.k * self.field_gap)
        return {
            "R_1": self.fed.winding_resistance,
            "X_1": leakage_reactance(stator, self.fed.frequency, self.magnetic_gap) + v * T,
            "X_m": crosses / T,
            "R_2": R_2,
            "X_2": crosses * self.leakage,
        }

    @functools.cached_property
    def source(self):
        """Resistance and reactance of the source that the rotor's branch sees."""
        seen = {name: self.circuit[name] for name in ("R_1", "X_1", "X_m")}
        R_t, X_t = equivalent_circuit.thevenin_resistance(**seen), equivalent_circuit.thevenin_reactance(**seen)
        return {"R_t": R_t, "X_t": X_t}

    @functools.cached_property
    def breakdown_slip(self):
        """Slip of the largest torque on a fixed voltage."""
        rotor = {name: self.circuit[name] for name in ("R_2", "X_2")}
        return equivalent_circuit.circuit_breakdown_slip(**rotor, **self.source)

    @property
    def largest_at(self):
        """The same, but rest where a rotor that runs never comes to it."""
        return np.minimum(self.breakdown_slip, 1.0)

    def pull_out(self, slip):
        """Return the largest torque on a fixed voltage, from rest to synchronism, over that at a slip."""
        at = {"m_1": 1.0, "Omega_0": 1.0, "U_t": 1.0, "X_2": self.circuit["X_2"], **self.source}
        with np.errstate(divide="ignore", invalid="ignore"):
            largest, running = (
                equivalent_circuit.circuit_torque(R_2=self.circuit["R_2"], s=s, **at) for s in (self.largest_at, slip)
            )
            return largest / running

    def slip_within(self, wanted):
        """Return the largest slip that keeps the reserve of pull-out torque; infinite on a drive."""
        if self.stator.si.supply == "drive":
            return np.inf
        m = pull_out_reserve(self.stator.si, wanted)
        a_t = reserve.breakdown_resistance_ratio(X_2=self.circuit["X_2"], **self.source)
        return reserve.reserved_slip(m_r=m, s_b=self.breakdown_slip, s_l=self.largest_at, a_t=a_t)


class Cage(ConductingLayer):
    """Bars in iron slots below tooth tips."""

    @functools.cached_property
    def volume(self):
        """Volume of the bars' layer per bore area [m]."""
        return self.stator.volume_thickness(self.thickness) - self.stator.tips[1]

    @functools.cached_property
    def gap(self):
        """Unrolled gap with the slots of both sides."""
        stator = self.stator
        carter = stator_laws.rotor_carter_coefficient(tau_u=self.form["pitch"], b_2=self.form["opening"], g=stator.gap)
        return stator_laws.cage_gap(g=stator.plane_gap, k_C=stator.carter, k_D=carter)

    @property
    def magnetic_gap(self):
        """The same: bars are no part of the gap."""
        return self.gap

    @functools.cached_property
    def limit(self):
        """Limits of the gap field, those of the rotor's teeth and core among them."""
        stator, si = self.stator, self.stator.si
        teeth = stator_laws.rotor_tooth_limited_gap_field(
            B_t=si.tooth_field_limit, phi_r=self.share, k_s=si.stacking_factor, D=stator.D, D_i=stator.bore,
            t=self.thickness,
        )  # fmt: skip
        return stator.field_limit.lowered(rotor_teeth=teeth, rotor_core=stator.core_limit(self.thickness))

    @functools.cached_property
    def iron(self):
        """The machine's iron."""
        return iron_of(self.stator, D=self.stator.D, t=self.thickness, phi_r=self.share)

    @functools.cached_property
    def _outer(self):
        """Leakage of the slots' openings, and of the harmonics of the bars' field in the gap."""
        stator = self.stator
        N_2 = np.pi * stator.D / self.form["pitch"]
        differential = leakage.cage_differential_leakage(p=stator.p, N_2=N_2)
        opening = leakage.lip_permeance(h_l=self.tip, b_u=self.form["opening"]) * stator.k * self._pitch
        return opening, differential / np.tanh(stator.k * self.gap)

    @property
    def _pitch(self):
        """Pitch of the bars at the bore."""
        return self.form["pitch"] * self.stator.bore / self.stator.D

    def outer_leakage(self, loadings=None):
        """Return the leakage in series with the bars: openings of their slots, and harmonics of their field."""
        opening, waves = self._outer
        if loadings is not None:
            opening = opening * lips_left(loadings, self._pitch, self.form["opening"])
            waves = waves * gap_left(loadings, self._pitch, self.stator.gap)
        return opening + waves

    @property
    def saturating_loading(self):
        """Peak loading from which on tooth tips of either side saturate."""
        bars = saturating_loading(self._pitch, self.form["opening"], self.stator.gap)
        return np.minimum(bars, self.stator.saturating_loading)

    @functools.cached_property
    def inner_leakage(self):
        """Leakage of the slots below the tips, bars without skin effect."""
        stator, depth = self.stator, self.thickness - self.tip
        if stator.is_plane:
            return stator.k * depth / (3 * self.share)
        return surface.tapered_bar_leakage(p=stator.p, phi_r=self.share, D=stator.D - 2 * self.tip, t=depth)

    def met(self, slip):
        """Return the surface admittance of bars in slots that taper towards the shaft."""
        stator, rho = self.stator, self.rho * (1 + self.end_share)
        past = slip * geometry.angular_frequency(f=self.fed.frequency)
        if stator.is_plane:
            t = self.thickness - self.tip
            z_b = surface.bar_depth_ratio(t=t, s=slip, f=self.fed.frequency, rho=rho, e_r=0.0)
            bar = {"phi_r": self.share, "k": stator.k, "t": t, "z_b": z_b}
            return surface.bar_leakage(**bar) + 1j * surface.bar_conductance(**bar)
        outer = stator.D / 2
        bars = tapered_bars(outer - self.thickness, outer - self.tip, over(1j * mu_0 * past, rho))
        return self.share / stator.p * bars


class Sheet(ConductingLayer):
    """A plain sheet on smooth iron."""

    @property
    def gap(self):
        """Unrolled clearance with the stator's slots; the thin-gap laws have the sheet in it, too."""
        return self.magnetic_gap if self.rough else self.stator.slotted_gap

    @functools.cached_property
    def magnetic_gap(self):
        """The same with the sheet, which is no iron."""
        stator = self.stator
        t = stator.unrolled(self.thickness)
        return stator_laws.layered_gap(g=stator.plane_gap, k_C=stator.carter, t=t)

    @functools.cached_property
    def limit(self):
        """Limits of the gap field, that of the rotor's core among them."""
        return self.stator.field_limit.lowered(rotor_core=self.stator.core_limit(self.thickness))

    @functools.cached_property
    def iron(self):
        """The machine's iron."""
        return iron_of(self.stator, D=self.stator.D, t=self.thickness)

    @functools.cached_property
    def inner_leakage(self):
        """Leakage within the sheet, without skin effect."""
        return self.stator.k * self.stator.unrolled(self.thickness) / 3

    def shallow(self, slip):
        """Return the surface admittance of the thin-gap laws, at the sheet's back."""
        return 1j * slip * self.G * self.stator.k * self.field_gap

    def met(self, slip):
        """Return the surface admittance, skin effect included; of a flat machine, of the unrolled sheet."""
        stator, rho = self.stator, self.rho * (1 + self.end_share)
        if stator.is_plane:
            reynolds = mu_0 * slip * self.fed.field_speed / (rho * stator.k)
            return Section(stator.k * self.thickness, 0.0, reynolds=reynolds).admittance
        from scaling.models.rings import port  # with scipy.special, which the start of the package does without

        past = slip * geometry.angular_frequency(f=self.fed.frequency)
        outer = stator.D / 2
        ring = port(stator.p, outer - self.thickness, outer, 1.0, over(1j * mu_0 * past, rho))
        met, *_ = ring.seen(np.zeros(()))
        return met


def cage(fed, conductor, rough):
    """Return the cage of the places between 0 and 1 that the search has for it, among a conductor's properties."""
    stator, si, at = fed.stator, fed.stator.si, conductor
    deepest, tip, finest = stator.rotor_depth, stator.tip, si.slot_pitch_floor / 2
    t = np.maximum(deepest * (SHALLOWEST + (1 - SHALLOWEST) * at["depth"]), 2 * tip)
    t = np.where(2 * tip <= deepest, t, np.nan)
    pitch = stator.slot_pitch * stator.D / stator.bore
    share = si.bar_share
    if share is None:
        share = _share(stator, t, np.minimum(np.maximum(LEAST_SHARE, finest / pitch), 0.5), at["bar share"])
    opening = si.rotor_slot_opening_ratio
    if opening is None:
        least = np.minimum(finest / 2 / pitch, share)
        opening = least * (share / least) ** at["slot opening"]
    form = {"pitch": pitch, "opening": np.minimum(opening, share) * pitch}
    return Cage(fed, at["rho"], t, _ring(stator, at), rough, share, tip, form)


def _share(stator, t, least, place):
    """Return the share of bars at a place: about 1/2 rotor and stator teeth reach their flux density together."""
    si = stator.si
    whole = stator_laws.rotor_tooth_limited_gap_field(
        B_t=si.tooth_field_limit, phi_r=0.0, k_s=si.stacking_factor, D=stator.D, D_i=stator.bore, t=t
    )
    level = np.clip(1 - stator.field_limit.value / whole, least, 1 - least)
    below, above = place / (0.5 - LEVEL), (place - 0.5 - LEVEL) / (0.5 - LEVEL)
    return least + (level - least) * np.minimum(below, 1) + (1 - least - level) * np.maximum(above, 0)


def sheet(fed, conductor, rough):
    """Return the sheet of the places between 0 and 1 that the search has for it."""
    t = fed.stator.rotor_depth * THINNEST ** (1 - conductor["depth"])
    return Sheet(fed, conductor["rho"], t, _ring(fed.stator, conductor), rough)


def _ring(stator, conductor):
    widest = np.minimum(stator.si.end_ring_ratio * stator.D, stator.overhang)
    widest = np.where(widest > 0.0, widest, np.nan)  # without rings no current flows
    return widest * (SHALLOWEST + (1 - SHALLOWEST) * conductor["end ring"])
