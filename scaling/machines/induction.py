"""The induction rotor: a cage in iron slots, or a plain conducting sheet on smooth iron."""

import functools
from dataclasses import dataclass, replace

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, induction, start, supply, surface
from scaling.laws import stator as stator_laws
from scaling.machines.conducting_layer import cage, sheet
from scaling.machines.fed import fed_at, sheet_stands, stands, with_surface
from scaling.machines.iron import part_of_loading, with_iron, within_heat
from scaling.machines.leakage import Loadings, drawn, leakage_reactance
from scaling.machines.operation import VOLTAGE, Loads, Operation, near
from scaling.machines.rotor import Look, Objective, Rotor
from scaling.machines.warmth import rotor_rise
from scaling.machines.winding import resistivity

BEYOND = 4.0  # times the slip that fills heat and field limit, or gives the largest torque: the largest slip searched
TOPS = np.array(
    [0.5, 0.7, 0.85, 0.95, 1.0, 1.05, 1.2, 1.5]
)  # slips tried, over the best of the thin-gap law, for the largest torque
CAGE = {"depth": 0.7, "bar share": 0.5, "slot opening": 0.3, "end ring": 1.0}  # where the search begins
SHEET = {"depth": 0.7, "end ring": 1.0}
GIVEN = {"bar share": "bar_share", "slot opening": "rotor_slot_opening_ratio"}  # in the brief: not searched


def candidates(si):
    """Return the rotor conductors to try."""
    return tuple(materials.CONDUCTORS.values())


def properties(material, si):
    """Return what a material contributes: resistivity when hot as the winding, its part per kelvin, and the rest.

    That is its density, and the rim speed its end rings stand.
    """
    rho, cold = (resistivity(material, si, T) for T in (si.ambient + si.temperature_rise, materials.T_20))
    return {
        "rho": rho,
        "per kelvin": cold * material.temperature_coefficient / rho,
        "density": material.density,
        "rim_speed": stands(material.name, si),
    }


def free(si, sparing):
    """Return the lengths of the rotor that are searched, and where the search begins.

    Merits that may want less than all the loading that heat allows search its part, too.
    """
    searched = CAGE if si.induction_rotor == "cage" else SHEET
    searched = {name: at for name, at in searched.items() if getattr(si, GIVEN.get(name, ""), None) is None}
    return searched | ({"loading": 1.0} if sparing else {})


def rim_speed(stator, conductor):
    """Return the rim speed that core and end rings stand."""
    return np.minimum(sheet_stands(stator.si), conductor["rim_speed"])


def operate(fed, conductor, objective, search_fraction, coarse=False):
    """Return (fed stator, operation); the fraction sets the slip, at 1/2 heat and field limit are both full.

    A slip carries all the loading that heat and field limit allow: every merit rises with it at a given slip. Friction
    and shaft fan are taken at the speed the rotor really turns. ``coarse`` leaves skin effect in the rotor out.
    """
    layer = LAYERS[fed.stator.si.induction_rotor](fed, conductor, coarse)
    most = layer.slip_within(ROTOR.reserve)
    slip = _slip(fed, layer, objective, search_fraction, np.minimum(fed.slip_high, most))
    facing = ROTOR.surface if fed.stator.si.induction_rotor == "cage" else (1.0 / layer.rho, 1.0)
    layer, slip = _at_its_temperature(fed, layer, conductor, slip)
    layer_fed, fed = fed, with_surface(fed_at(fed, np.nan_to_num(slip)), ROTOR, facing)
    if fed.frequency is not layer_fed.frequency:
        layer = layer.on(fed)
    part = part_of_loading(conductor)
    return fed, _Slipping(fed, layer, slip, layer.slip_within(ROTOR.reserve), part, conductor["density"]).operation()


def _at_its_temperature(fed, layer, conductor, slip):
    """Return (layer, slip) with the resistivity of the rotor's own temperature; more of it takes as much more slip.

    The rotor's loss over the winding's is that of a thin gap without leakage.
    """
    if fed.inside is None:
        return layer, slip
    k = fed.stator.k
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        g_t = surface.traction_gap(k=k, g_m=layer.magnetic_gap)
        loss = stator_laws.slip_heat_ratio(v_s=fed.field_speed, k=k, g_m=g_t, w_A=fed.winding_heat_factor)
        loss, more = loss * slip * induction.induction_response(x=slip * layer.G), 1.0
        for _ in range(2):
            warmer = rotor_rise(fed, loss * more) - fed.stator.si.temperature_rise
            more = 1.0 + conductor["per kelvin"] * warmer
        held = slip >= fed.slip_high * (1 - 1e-9)  # by what is asked: as warm, the rotor has as much
        slip = np.where(held, fed.slip_high, np.clip(slip * more, fed.slip_low, fed.slip_high))
    return replace(layer, rho=layer.rho * more), slip


def _slip(fed, layer, objective, fraction, most):
    """Return the slip at a fraction, at most ``most``.

    From the best at a given heat, or well below, over both limits full (1/2) on.
    """
    stator, budget = fed.stator, {**layer.heat_ratios, "G": layer.G}
    chi = stator_laws.loading_ratio(
        q_b=fed.budget, w_A=fed.loading_budget_factor, B_l=layer.limit.value, k=stator.k, g_m=layer.field_gap
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        spared = budget | {"beta_w": budget["beta_w"] - layer.G * (chi * layer.through) ** 2}
        edge = np.nan_to_num(induction.field_limited_slip_goodness(chi=chi, **spared))
        torque = induction.best_torque_slip_goodness(**budget)
        by_torque = objective in (Objective.TORQUE, Objective.ROOT_WATT)
        free = torque if by_torque else induction.best_power_slip_goodness(**budget)
        corner = np.minimum(np.maximum(free, edge) / layer.G, most)
        high = np.minimum(BEYOND * np.maximum(corner, torque / layer.G), most)
        low = np.minimum(free / layer.G, corner / BEYOND)
        below, above = low * (corner / low) ** (2 * fraction), corner * (high / corner) ** (2 * fraction - 1)
    return np.maximum(np.clip(np.where(fraction < 0.5, below, above), fed.slip_low, most), 0.0)


@dataclass(frozen=True)
class _Waves:
    """Forward and backward wave at a slip, of unit loading: gap fields, forward stress, and the backward's brake.

    ``largest`` is the loading at the field limit, ``share`` the backward wave over the forward one.
    """

    largest: np.ndarray
    forward: np.ndarray
    backward: np.ndarray | float
    driving: np.ndarray
    brake: np.ndarray | float
    share: np.ndarray | float

    def over(self, part):
        """Return the waves of unit loading where only a part of it is left for gap and rotor, the rest for the iron."""
        return replace(
            self,
            largest=self.largest / part,
            forward=self.forward * part,
            backward=self.backward * part,
            driving=self.driving * part**2,
            brake=self.brake * part**2,
        )


class _Slipping:
    """A conducting layer at a slip, with all the loading that heat and field limit allow there."""

    def __init__(self, fed, layer, slip, reserved_slip, part, density):
        self.fed, self.stator, self.layer, self.density = fed, fed.stator, layer, density
        self.slip, self.reserved_slip = slip, reserved_slip
        waves = self._waves(self._meet(slip))
        per_loading = (fed.core_budget_factor + fed.surface_budget_factor * (1.0 - slip)) * waves.forward**2
        per_loading = per_loading + fed.core_budget_factor * waves.backward**2
        warming = fed.warmth.rotor * fed.field_speed
        per_loading = per_loading + slip * warming * waves.driving
        per_loading = per_loading + (2.0 - slip) * warming * waves.brake
        by_heat = np.sqrt(fed.budget / (fed.loading_budget_factor + per_loading))
        ideal, total = self._with_iron(waves, per_loading, np.minimum(by_heat, waves.largest), part)
        self.loading = total
        self.field_binds = waves.largest <= ideal * (1 + 1e-3)
        self.shear = ideal**2 * (waves.driving - waves.brake)
        self.at_slip = waves.over(ideal / total)
        self.ideal, self.field = ideal, ideal * waves.forward

    def _with_iron(self, waves, per_loading, most, part):
        """Return (loading of ideal iron, that of real iron): a part of what heat and field limit allow."""
        iron, shear = self.layer.iron, waves.driving - waves.brake

        def fields(A):
            return A * waves.forward, A**2 * shear

        ideal = within_heat(self.fed, iron, most, fields, lambda B, sigma: per_loading * (B / waves.forward) ** 2)
        ideal = part * ideal
        return ideal, with_iron(self.stator, iron, ideal, *fields(ideal))

    def _wave(self, behind, loadings):
        """Return (gap field, shear stress) of one wave of unit loading, given what it meets behind the tooth tips."""
        Y_r, Y_i = self.layer.admittance(behind, loadings)
        unit = {"A": 1.0, "k": self.stator.k, "g_m": self.layer.gap, "Y_r": Y_r, "Y_i": Y_i}
        return surface.surface_gap_field(**unit), surface.surface_shear_stress(**unit)

    def _meet(self, slip, share=None):
        """Return what both waves meet at a slip: (slip, backward wave's share, conductors as seen by either)."""
        share = self.stator.backward if share is None else share
        opposed = self.layer.behind_tips(2.0 - slip) if np.any(share) else None
        return slip, share, self.layer.behind_tips(np.abs(slip)), opposed

    def _waves(self, met, loadings=None):
        """Return both waves, given what they meet; with Loadings, tooth tips saturate."""
        slip, share, ahead, opposed = met
        forward, driving = self._wave(ahead, loadings)
        driving = np.copysign(driving, slip)
        if opposed is None:
            return _Waves(self.layer.limit.value / forward, forward, 0.0, driving, 0.0, share)
        backward, brake = self._wave(opposed, loadings)
        backward, brake = share * backward, share**2 * brake
        return _Waves(self.layer.limit.value / (forward + backward), forward, backward, driving, brake, share)

    @functools.cached_property
    def _reluctance(self):
        """Loading of the iron per gap field at the operating point, where it saturates as it does."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return self.stator.k * self.layer.iron.ampere_turns(self.field) / self.field

    def _off_design_waves(self, met, loadings=None):
        """Return both waves at another slip, the iron as permeable as at the operating point."""
        waves = self._waves(met, loadings)
        across = 2 * (waves.driving - waves.brake) / waves.forward
        along = np.sqrt(np.maximum(1.0 - across**2, 0.0)) + self._reluctance * waves.forward
        return waves.over(1.0 / np.hypot(across, along))

    def breakdown(self, fixed_supply):
        """Return the largest shear stress: on a fixed voltage, or at the same loading and field limit."""
        if fixed_supply:
            with np.errstate(invalid="ignore"):  # no slip where nothing runs
                return self.shear * np.maximum(self.layer.pull_out(self.slip), 1.0)
        k, gap = self.stator.k, self.layer.gap
        G = self.layer.G / (1.0 + self._reluctance * VALUES["mu_0"] / np.tanh(k * gap))  # iron lengthens the gap
        with np.errstate(invalid="ignore"):
            # The field falls with the slip as 1/sqrt(1 + (s*G)**2): the slip that fills the limit, or the top beyond.
            filled = np.sqrt((1.0 + (self.slip * G) ** 2) * (self.loading / self.at_slip.largest) ** 2 - 1.0)
        best = np.fmax(1.0, filled) / G
        slips = np.clip(best * TOPS.reshape(-1, *(1,) * np.ndim(best)), 0.0, 1.0)
        tried = self._stressed(self._off_design_waves(self._meet(slips)), 1.0)[0]
        return np.maximum(self.shear, np.max(tried, axis=0))

    def _impedance(self, waves, loadings=None):
        """Return what the winding presents to the supply, R and X: its heat, the gap's waves, and leakage."""
        v_s = self.fed.field_speed
        R = 2 * v_s * (np.abs(waves.driving) + waves.brake)
        forward = supply.wave_reactive_power(A=1.0, B=waves.forward, sigma_t=waves.driving, v_s=v_s)
        if np.any(waves.share):
            opposed = {"B": waves.share * waves.backward, "sigma_t": waves.brake}
            forward = forward + supply.wave_reactive_power(A=1.0, v_s=v_s, **opposed)
        leak = leakage_reactance(self.stator, self.fed.frequency, self.layer.magnetic_gap, loadings)
        return {"R": R + 2 * self.fed.loading_heat_factor, "X": 2 * forward + leak}

    @functools.cached_property
    def _running(self):
        return {f"{name}_e": value for name, value in self._impedance(self.at_slip).items()}

    def _driven(self, met):
        """Return (waves, current over the continuous one) on a fixed voltage, tooth tips saturated by that current."""

        def respond(loadings):
            waves = self._off_design_waves(met, loadings)
            current = start.supplied_current(**self._running, **self._impedance(waves, loadings))
            return waves, current, self.loading * current

        return drawn(respond, self.loading, self.layer.saturating_loading)[:2]

    def _stressed(self, waves, current):
        """Return (shear stress, loading) of waves at a current over the continuous one."""
        loading = np.minimum(self.loading * current, waves.largest)
        return loading**2 * (waves.driving - waves.brake), loading

    def off_design(self, slip, fixed_supply):
        """Return (shear stress, loading) at any slip."""
        met = self._meet(slip)
        return self._stressed(*(self._driven(met) if fixed_supply else (self._off_design_waves(met), 1.0)))

    def loads(self, fixed_supply):
        """Return the Loads by slip: a fixed supply keeps its voltage, a drive the gap field."""
        rule = VOLTAGE if fixed_supply else "the drive keeps its frequency and the gap field"
        rule += "; slip and current follow the load, the iron is as permeable as at that point"
        return Loads(self.slip, 1.0, functools.partial(self._loaded, fixed_supply), rule, True)

    def _loaded(self, fixed_supply, slip):
        """Return the operating point of the same machine at another slip."""
        met = self._meet(slip)
        if fixed_supply:
            waves, current = self._driven(met)
            A = self.loading * current
        else:
            waves = self._off_design_waves(met)
            A = self.field / waves.forward
        B, shear = A * waves.forward, A**2 * (waves.driving - waves.brake)
        across = 2 * shear / B
        along = np.sqrt(np.maximum(A**2 - across**2, 0.0)) - self._reluctance * B
        whole = {"A": A, "k": self.stator.k, "g_m": self.layer.magnetic_gap}
        return replace(
            self.operation(),
            loading=A,
            ideal_loading=np.hypot(across, along),
            gap_field=B,
            shear=shear,
            slip=slip + 0.0 * shear,
            response=shear / stator_laws.shear_stress(Lambda=1.0, **whole),
            backward_field=A * waves.backward,
            backward_shear=A**2 * waves.brake,
            saturating=Loadings(A, self.loading) if fixed_supply else None,
            limits={},
        )

    @functools.cached_property
    def _starting(self):
        return self._stressed(*self._driven(self._meet(np.ones(self.slip.shape), self.stator.backward_at_rest)))

    def operation(self):
        """Return the operating point."""
        fed, si, A, waves, layer = self.fed, self.fed.stator.si, self.loading, self.at_slip, self.layer
        fits = fed.slip_low <= np.minimum(fed.slip_high, self.reserved_slip)
        return Operation(
            loading=A,
            ideal_loading=self.ideal,
            gap_field=A * waves.forward,
            shear=np.where(fits, self.shear, np.nan),
            slip=self.slip,
            response=self.shear / stator_laws.shear_stress(A=A, k=self.stator.k, g_m=layer.magnetic_gap, Lambda=1.0),
            magnetic_gap=layer.magnetic_gap,
            thickness=layer.thickness,
            breakdown=self.breakdown,
            starting=lambda: self._starting,
            off_design=self.off_design,
            loads=self.loads,
            backward_field=A * waves.backward,
            backward_shear=A**2 * waves.brake,
            resistivity=self.layer.rho,
            goodness=layer.G,
            ring_mass=layer.ring_mass(self.density),
            form=layer.sizes,
            circuit=lambda: layer.circuit,
            limits={
                **layer.limit.held_by(self.field_binds),
                "slip limit": near(self.slip, np.nan if si.slip_limit is None else si.slip_limit),
                "pull-out reserve": near(self.slip, self.reserved_slip),
                "rotor thickness": near(layer.thickness, self.stator.rotor_depth),
            },
        )


def phrase(design, wins):
    """Return what the rotor's response rests on."""
    if wins or design.goodness * design.slip >= 0.5:
        goodness = float(f"{design.goodness:.3g}")
        return f"a goodness of {goodness:g} lets the rotor current build up at a slip of {design.slip:.2g}"
    return (
        f"with a goodness of {design.goodness:.2g} the induced current stays small even at a slip of {design.slip:.2g}"
    )


def active_mass(point):
    """Return the mass of the bars or the sheet, without end rings [kg]."""
    stator = point.stator
    tips = stator.tips[1] if point.si.induction_rotor == "cage" else 0.0
    volume = stator.volume_thickness(point.operation.thickness) - tips
    share, density = point.operation.form["bar_share"], point.properties["density"]
    return geometry.layer_mass(rho_b=density, phi_r=share, t_v=volume, S_b=stator.area)


LAYERS = {"cage": cage, "sheet": sheet}
ROTOR = Rotor(
    kind="induction",
    synchronous=False,
    reserve=1.6,
    torque_cycles_per_turn=None,  # it starts on its own torque
    full_fraction_is_best=False,  # slip is searched near its closed form, which leaves friction's fall with slip out
    surface=materials.SOLID_SURFACES["steel"],
    surface_is_solid=False,
    look=Look("#3f90da", "o", "-"),
    candidates=candidates,
    properties=properties,
    rim_speed=rim_speed,
    operate=operate,
    phrase=phrase,
    active_mass=active_mass,
    free=free,
    other_begin=lambda sparing: {"depth": 0.2, "slot opening": 1.0},  # where leakage rules
)
