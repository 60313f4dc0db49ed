"""The induction rotor: a cage in iron slots, or a plain conducting sheet on smooth iron."""

import functools
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, induction, start, supply, surface
from scaling.laws import stator as stator_laws
from scaling.machines.operation import Operation, near
from scaling.machines.rotor import Look, Objective, Rotor
from scaling.machines.stator import feed, resistivity, sheet_stands, stands, with_surface
from scaling.models.bars import tapered_bars
from scaling.models.layered import Section
from scaling.models.search import maximise

THINNEST = 1e-3  # thinnest sheet tried, as a part of the deepest
SHEET_STEPS = 16  # leave 3e-3 of the thickness at a smooth top
BEYOND = 4.0  # times the slip that fills heat and field limit, or gives the largest torque: the largest slip searched


def candidates(si):
    """Return the rotor conductors to try."""
    return tuple(materials.CONDUCTORS.values())


def properties(material, si):
    """Return what a material contributes: its resistivity when hot, and the rim speed its end rings stand."""
    return {"rho": resistivity(material, si), "rim_speed": stands(material.name, si)}


def rim_speed(stator, conductor):
    """Return the rim speed that core and end rings stand."""
    return np.minimum(sheet_stands(stator.si), conductor["rim_speed"])


@dataclass(frozen=True)
class _Layer:
    """A conducting layer behind a gap: what the thin-gap laws say of it. Its subclasses say what the field meets.

    ``gap`` lies before the surface whose admittance is given, ``magnetic_gap`` is that of the thin-gap laws; both are
    unrolled, the thickness is not.
    """

    fed: Any
    thickness: np.ndarray
    share: float
    rho: np.ndarray
    gap: np.ndarray
    magnetic_gap: np.ndarray

    @functools.cached_property
    def volume(self):
        """Volume of the layer per bore area [m]."""
        return self.fed.stator.volume_thickness(self.thickness)

    @functools.cached_property
    def end_share(self):
        """End-ring loss over the loss in the bars, at the mean radius of both."""
        stator = self.fed.stator
        k = 2 * stator.p / (stator.D if stator.is_plane else stator.D - self.thickness)
        return geometry.end_ring_share(phi_r=self.share, k=k, L=stator.width)

    @functools.cached_property
    def field_gap(self):
        """Gap that the laws of a thin gap take for the field."""
        return surface.field_gap(k=self.fed.stator.k, g_m=self.magnetic_gap)

    @functools.cached_property
    def G(self):
        """Goodness."""
        conductance = induction.surface_conductance(t=self.volume, phi_r=self.share, rho=self.rho, e_r=self.end_share)
        return induction.goodness(
            f=self.fed.frequency, tau=self.fed.stator.tau, sigma_s=conductance, g_m=self.field_gap
        )

    @functools.cached_property
    def through(self):
        """Share of the gap field at the stator face that the rotor cannot expel, squared."""
        return (self.fed.stator.k * self.field_gap) ** 2

    @functools.cached_property
    def heat_ratios(self):
        """Slip and core heat over winding heat, as the laws of the best slip take them."""
        fed, k = self.fed, self.fed.stator.k
        with np.errstate(over="ignore"):  # a gap of many pole pitches
            g_t = surface.traction_gap(k=k, g_m=self.magnetic_gap)
        w_A = fed.winding_heat_factor
        beta_c = stator_laws.core_heat_ratio(w_B=fed.core_factor, w_A=w_A, k=k, g_m=self.field_gap)
        beta_w = stator_laws.slip_heat_ratio(v_s=fed.field_speed, k=k, g_m=g_t, w_A=w_A)
        return {"beta_w": beta_w + self.G * beta_c * self.through**2, "beta_c": beta_c}


class _ThinLayer(_Layer):
    """The thin-gap laws alone: no skin effect, no slot leakage."""

    def admittance(self, slip):
        """Return the two parts of the surface admittance at a slip."""
        return 0.0, slip * self.G * self.fed.stator.k * self.field_gap


class _Bars(_Layer):
    """The bars of a cage in their slots, which taper towards the shaft."""

    def admittance(self, slip):
        """Return the two parts of the surface admittance at a slip."""
        stator, rho = self.fed.stator, self.rho * (1 + self.end_share)
        if stator.is_plane:
            z_b = surface.bar_depth_ratio(t=self.thickness, s=slip, f=self.fed.frequency, rho=rho, e_r=0.0)
            bar = {"phi_r": self.share, "k": stator.k, "t": self.thickness, "z_b": z_b}
            return surface.bar_leakage(**bar), surface.bar_conductance(**bar)
        outer = stator.D / 2
        past = slip * geometry.angular_frequency(f=self.fed.frequency)
        met = self.share / stator.p * tapered_bars(outer - self.thickness, outer, 1j * VALUES["mu_0"] * past / rho)
        return met.real, met.imag


class _FlatSheet(_Layer):
    """A plain sheet on iron, skin effect included, its conductance spread evenly over the unrolled layer."""

    def admittance(self, slip):
        """Return the two parts of the surface admittance at a slip."""
        stator, rho = self.fed.stator, self.rho * (1 + self.end_share)
        unrolled = self.magnetic_gap - self.gap
        rho = rho * unrolled / self.volume
        reynolds = VALUES["mu_0"] * slip * self.fed.field_speed / (rho * stator.k)
        met = Section(stator.k * unrolled, 0.0, reynolds=reynolds).admittance
        return met.real, met.imag


class _Sheet(_Layer):
    """A plain sheet on iron, skin effect included."""

    def admittance(self, slip):
        """Return the two parts of the surface admittance at a slip."""
        from scaling.models.rings import port  # with scipy.special, which the start of the package does without

        stator, rho = self.fed.stator, self.rho * (1 + self.end_share)
        past = slip * geometry.angular_frequency(f=self.fed.frequency)
        outer = stator.D / 2
        ring = port(stator.p, outer - self.thickness, outer, 1.0, 1j * VALUES["mu_0"] * past / rho)
        met, *_ = ring.seen(np.zeros(()))
        return met.real, met.imag


def operate(fed, conductor, objective, search_fraction, coarse=False):
    """Return (fed stator, operation); the fraction sets the slip, at 1/2 heat and field limit are both full.

    A slip carries all the loading that heat and field limit allow: every merit rises with it at a given slip. Friction
    and shaft fan are taken at the speed the rotor really turns. The thickness of a sheet is searched: a thicker one
    conducts better, in a wider gap. ``coarse`` leaves skin effect and slot leakage of the rotor out.
    """
    rho = conductor["rho"]
    slip = _slip(fed, _layer(fed, rho, lambda layer: _slip(fed, layer, objective, search_fraction), coarse),
                 objective, search_fraction)  # fmt: skip
    facing = ROTOR.surface if fed.stator.si.induction_rotor == "cage" else (1.0 / rho, 1.0)
    fed = with_surface(feed(fed.stator, fed.frequency, np.nan_to_num(slip)), *facing)
    return fed, _Slipping(fed, _layer(fed, rho, lambda _: slip, coarse), slip).operation()


def _slip(fed, layer, objective, fraction):
    """Return the slip at a fraction: from the best at a given heat (0) over both limits full (1/2) to well beyond."""
    stator, budget = fed.stator, {**layer.heat_ratios, "G": layer.G}
    chi = stator_laws.loading_ratio(
        q_b=fed.budget, w_A=fed.winding_heat_factor, B_l=stator.field_limit, k=stator.k, g_m=layer.field_gap
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        spared = budget | {"beta_w": budget["beta_w"] - layer.G * (chi * layer.through) ** 2}
        edge = np.nan_to_num(induction.field_limited_slip_goodness(chi=chi, **spared))
        torque = induction.best_torque_slip_goodness(**budget)
        by_torque = objective in (Objective.TORQUE, Objective.ROOT_WATT)
        free = torque if by_torque else induction.best_power_slip_goodness(**budget)
        corner = np.maximum(free, edge)
        high = BEYOND * np.maximum(corner, torque)
        below, above = free * (corner / free) ** (2 * fraction), corner * (high / corner) ** (2 * fraction - 1)
    return np.maximum(np.clip(np.where(fraction < 0.5, below, above) / layer.G, fed.slip_low, fed.slip_high), 0.0)


def _layer(fed, rho, slip_of, coarse):
    """Return the conducting layer: the cage, or the sheet of the best thickness at ``slip_of(layer)``."""
    stator, depth = fed.stator, fed.stator.rotor_depth
    if stator.si.induction_rotor == "cage":
        gap = stator_laws.cage_gap(g=stator.plane_gap, k_C=stator.carter)
        return (_ThinLayer if coarse else _Bars)(fed, depth, stator.si.bar_share, rho, gap, gap)

    def sheet(part, layer):
        t = depth * THINNEST ** (1 - part)
        g_m = stator_laws.layered_gap(g=stator.plane_gap, k_C=stator.carter, t=stator.unrolled(t))
        return layer(fed, t, 1.0, rho, g_m if layer is _ThinLayer else stator.slotted_gap, g_m)

    searched = _ThinLayer if coarse else _FlatSheet

    def shear(part):
        layer = sheet(part, searched)
        return _Slipping(fed, layer, slip_of(layer)).shear

    shape = np.broadcast_shapes(np.shape(rho), fed.budget.shape)
    best = maximise(shear, np.zeros(shape), np.ones(shape), steps=SHEET_STEPS)
    return sheet(best, searched if coarse or stator.is_plane else _Sheet)


@dataclass(frozen=True)
class _Waves:
    """Forward and backward wave at a slip, of unit loading: gap fields, forward stress, and the backward's brake.

    ``largest`` is the loading at the field limit.
    """

    largest: np.ndarray
    forward: np.ndarray
    backward: np.ndarray | float
    driving: np.ndarray
    brake: np.ndarray | float


class _Slipping:
    """A conducting layer at a slip, with all the loading that heat and field limit allow there."""

    def __init__(self, fed, layer, slip):
        self.fed, self.stator, self.layer, self.slip = fed, fed.stator, layer, slip
        self.at_slip = waves = self._waves(slip)
        per_loading = (fed.core_factor + fed.surface_factor * (1.0 - slip)) * waves.forward**2
        per_loading = per_loading + fed.core_factor * waves.backward**2
        per_loading = per_loading + slip * fed.field_speed * waves.driving
        per_loading = per_loading + (2.0 - slip) * fed.field_speed * waves.brake
        by_heat = np.sqrt(fed.budget / (fed.winding_heat_factor + per_loading))
        self.loading = np.minimum(by_heat, waves.largest)
        self.field_binds = waves.largest <= by_heat * (1 + 1e-3)
        self.shear = self.loading**2 * (waves.driving - waves.brake)

    def _wave(self, slip):
        """Return (gap field, shear stress) of one wave of unit loading at its slip."""
        Y_r, Y_i = self.layer.admittance(slip)
        unit = {"A": 1.0, "k": self.stator.k, "g_m": self.layer.gap, "Y_r": Y_r, "Y_i": Y_i}
        return surface.surface_gap_field(**unit), surface.surface_shear_stress(**unit)

    def _waves(self, slip):
        """Return both waves at a slip."""
        forward, driving = self._wave(np.abs(slip))
        driving = np.copysign(driving, slip)
        share = self.stator.backward
        if not np.any(share):
            return _Waves(self.stator.field_limit / forward, forward, 0.0, driving, 0.0)
        backward, brake = self._wave(2.0 - slip)
        backward, brake = share * backward, share**2 * brake
        return _Waves(self.stator.field_limit / (forward + backward), forward, backward, driving, brake)

    @functools.cached_property
    def _at_rest(self):
        return self._waves(np.ones(self.slip.shape))

    def breakdown(self):
        """Return the largest shear stress at the same loading and field limit."""
        x = self.slip * self.layer.G
        best = np.clip(np.maximum(1.0, np.where(self.field_binds, x, 1.0)) / self.layer.G, 0.0, 1.0)
        waves = self._waves(best)
        loading = np.minimum(self.loading, waves.largest)
        return np.maximum(self.shear, loading**2 * (waves.driving - waves.brake))

    def _impedance(self, waves):
        """Return what the winding presents to the supply but for leakage, R and X: its heat and the gap's waves."""
        v_s = self.fed.field_speed
        R = 2 * v_s * (np.abs(waves.driving) + waves.brake)
        forward = supply.wave_reactive_power(A=1.0, B=waves.forward, sigma_t=waves.driving, v_s=v_s)
        share = self.stator.backward
        backward = supply.wave_reactive_power(A=1.0, B=share * waves.backward, sigma_t=waves.brake, v_s=v_s)
        return {"R": R + 2 * self.fed.winding_heat_factor, "X": 2 * (forward + backward)}

    def _current(self, waves):
        """Return the current that a fixed voltage drives over the continuous one."""
        running = {f"{name}_e": value for name, value in self._impedance(self.at_slip).items()}
        at_rest = {f"{name}_0": value for name, value in self._impedance(self._at_rest).items()}
        with np.errstate(divide="ignore", invalid="ignore"):
            leakage = start.leakage_reactance(a_1=self.stator.si.starting_current_ratio, **running, **at_rest)
        leakage = np.maximum(np.nan_to_num(leakage, nan=0.0, posinf=1e6), 0.0)
        return start.supplied_current(X_l=leakage, **running, **self._impedance(waves))

    def _stressed(self, waves, current):
        """Return (shear stress, loading) of waves at a current over the continuous one."""
        loading = np.minimum(self.loading * current, waves.largest)
        return loading**2 * (waves.driving - waves.brake), loading

    def off_design(self, slip, fixed_supply):
        """Return (shear stress, loading) at any slip."""
        waves = self._waves(slip)
        return self._stressed(waves, self._current(waves) if fixed_supply else 1.0)

    @functools.cached_property
    def _starting(self):
        return self._stressed(self._at_rest, self._current(self._at_rest))[0]

    def operation(self):
        """Return the operating point."""
        fed, A, waves, layer = self.fed, self.loading, self.at_slip, self.layer
        fits = fed.slip_low <= fed.slip_high
        return Operation(
            loading=A,
            gap_field=A * waves.forward,
            shear=np.where(fits, self.shear, np.nan),
            slip=self.slip,
            response=self.shear / stator_laws.shear_stress(A=A, k=self.stator.k, g_m=layer.magnetic_gap, Lambda=1.0),
            magnetic_gap=layer.magnetic_gap,
            thickness=layer.thickness,
            breakdown=self.breakdown,
            starting=lambda: self._starting,
            off_design=self.off_design,
            backward_field=A * waves.backward,
            backward_shear=A**2 * waves.brake,
            goodness=layer.G,
            limits={
                **self.stator.held_by(self.field_binds),
                "slip limit": near(self.slip, self.stator.si.slip_limit),
                "rotor thickness": near(layer.thickness, self.stator.rotor_depth)
                & (self.stator.si.induction_rotor == "sheet"),
            },
        )


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    if wins or design.goodness * design.slip >= 0.5:
        return f"a goodness of {design.goodness:.3g} lets the rotor current build up at a slip of {design.slip:.2g}"
    return (
        f"with a goodness of {design.goodness:.2g} the induced current stays small even at a slip of {design.slip:.2g}"
    )


ROTOR = Rotor(
    kind="induction",
    synchronous=False,
    torque_cycles_per_turn=None,  # it starts on its own torque
    full_fraction_is_best=False,  # slip is searched near its closed form, which leaves friction's fall with slip out
    surface=materials.SOLID_SURFACES["steel"],
    look=Look("#3f90da", "o", "-"),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
)
