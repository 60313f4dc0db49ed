"""The hysteresis rotor: a ring of semi-hard material on a non-magnetic hub."""

import functools

import numpy as np

from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.laws import geometry, stage, supply
from scaling.laws import hysteresis as law
from scaling.laws import loop as loop_law
from scaling.machines.operation import Operation, near
from scaling.machines.stage import stands, with_surface
from scaling.models.loops import energy, fitted, in_phase_flux_density, number, tabulated
from scaling.models.search import root

KIND = "hysteresis"
SYNCHRONOUS = True
SWINGS = None  # the same torque from rest to synchronism
SURFACE = materials.SOLID_SURFACES["semi-hard ring"]
CLOSED = False  # the field along the ring is searched
STEEP = 2.5  # about what the logarithm of the heat gains with that of the field
LOWEST = 1e3  # part of what the heat alone allows at which a ring as deep as may be is within all limits
MARKS = {"low", "full", "both", "top"}
OPENING = 0.3  # of the coercivity: below it no loop is worth its field


def candidates(brief):
    """Return the ring materials to try."""
    return tuple(materials.LOOP_MATERIALS.values())


def properties(material, brief):
    """Return what a material contributes: its loop, and the rim speed a ring of it stands."""
    return fitted(material) | {"number": number(material), "rim_speed": stands(material.strength, brief)}


def rim_speed(fr, loop):
    """Return the rim speed that the ring stands."""
    return loop["rim_speed"]


def operate(st, loop, goal, part, rough=False):
    """Return (stage, operation); ``part`` from 0 to 1 sets the field in the ring, as an average over its thickness.

    For torque and power the ring is the thickest that heat, gap field and depth allow, for efficiency the best one, or
    what the brief's torque needs if that is more. ``rough`` leaves it at the laws of a thin ring and gap.
    """
    st = with_surface(st, *SURFACE)
    fr = st.frame
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        marks = {name: loop[name] for name in MARKS & set(loop)}
        loop = {name: value for name, value in loop.items() if name not in MARKS}
        marks = marks or landmarks(st, loop, goal, rough)
        H = _field(marks, goal, part)
        ring = _Ring(st, loop, H, rough)
        t = ring.thickest()
        if goal == "efficiency":
            q_f = st.friction_torque * geometry.shaft_speed(f=st.frequency, p=fr.p, s=0.0) / fr.bore_area
            kept = st.frequency * (1.0 - fr.backward**2)
            wanted = law.most_efficient_thickness(q_f=q_f, f=kept, **ring.costs)
            asked = law.thickness_for_shear_stress(sigma_t=_shear_asked(st), W_h=ring.field["W_h"], tau=fr.tau)
            t = np.minimum(t, np.maximum(wanted, asked))
        A, B = ring.driven(t)
        driving = law.steinmetz_shear_stress(t=t, W_h=ring.field["W_h"], tau=fr.tau)
        shear = supply.opposed_hysteresis_stress(sigma_t=driving, c_r=fr.backward)
        response = shear / stage.shear_stress(A=A, k=fr.k, g_m=fr.stator_gap, Lambda=1.0)
        gamma = loop_law.loop_angle(**{name: ring.field[name] for name in ("W_h", "B_i", "H")})
    field_binds = near(B, fr.forward_field_limit)
    return st, Operation(
        loading=A,
        gap_field=B,
        shear=shear,
        slip=np.zeros(shear.shape),
        response=response,
        magnetic_gap=fr.stator_gap,
        thickness=t,
        maximum=lambda: shear,
        starting=lambda: shear,
        along=lambda slip, fixed_supply: (shear * np.where(slip < 0.0, -1.0, 1.0), A + 0.0 * slip),
        backward_field=fr.backward * B,
        backward_shear=driving - shear,
        surface_drag=st.surface_factor * B**2 / st.field_speed,
        load_angle=gamma,
        ring_field=H,
        limits={
            **fr.held_by(field_binds),
            "rotor thickness": near(t, fr.rotor_depth),
        },
    )


def landmarks(st, loop, goal, rough):
    """Return {name: logarithm of a field} of the fields that `operate` divides its part by; they take no part.

    A ring as deep as may be allows the field `full`; up to there torque rises with the field. A thinner one allows
    more, until heat and gap field are both full at `both`, at last with hardly any ring at `top`. `low` is where the
    loop starts to open. Rough ones among the properties are where the others start.
    """
    st = with_surface(st, *SURFACE)
    fr = st.frame
    costs = st.winding_heat_factor + st.both_waves_heat_factor * VALUES["mu_0"] ** 2

    def at_depth(log_H, rough):
        B, heat = _Ring(st, loop, np.exp(log_H), rough).used(fr.rotor_depth)
        return np.log(np.maximum(heat / st.budget, (B / fr.forward_field_limit) ** 2))

    def at_field_limit(log_H, rough):
        ring = _Ring(st, loop, np.exp(log_H), rough)
        return np.log(ring.used(ring.filling())[1] / st.budget)

    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        free = np.minimum(np.sqrt(st.budget / costs), fr.forward_field_limit / VALUES["mu_0"])
        top = np.log(free) - fr.k * fr.stator_gap - 1e-9
        full = _root(at_depth, top - np.log(LOWEST), top, rough, loop.get("full"), steps=4)
        if goal not in ("torque", "power"):
            return {"low": np.minimum(np.log(OPENING * loop["H_c"]), full - 1.0), "full": full, "top": top}
        return {
            "full": full,
            "both": np.maximum(_root(at_field_limit, full, top, rough, loop.get("both"), steps=2), full),
            "top": top,
        }


def _field(marks, goal, part):
    """Return the field of the ring at a part, its logarithm piece by piece in proportion.

    Torque and power want `full` (0), `both` (1/2) or what lies between and beyond; other merits want less, from `low`
    (0) over `full` (2/3).
    """
    if goal in ("torque", "power"):
        (a, b, c), at = (marks[name] for name in ("full", "both", "top")), 1 / 2
    else:
        (a, b, c), at = (marks[name] for name in ("low", "full", "top")), 2 / 3
    return np.exp(np.where(part < at, a + (b - a) * (part / at), b + (c - b) * ((part - at) / (1 - at))))


def _root(excess, low, top, rough, known, steps):
    """Return where a nearly straight function is zero: by the laws of the thin ring, then corrected by two secants."""
    at = root(lambda log_H: excess(log_H, True), low, top, steps=steps) if known is None else known
    if rough:
        return at
    first = excess(at, False)
    other = np.clip(at - first / STEEP, low, top)
    second = excess(other, False)
    better = other - second * (other - at) / (second - first)
    return np.clip(np.where(np.isfinite(better), better, at), low, top)


class _Ring:
    """Rings of any thickness at a mean field: what drives them, and how thick they may be."""

    def __init__(self, st, loop, H, rough):
        fr = st.frame
        self.st, self.rough = st, rough
        if rough:
            B_i, W_h = tabulated(H, loop["number"])
        else:
            B_i, W_h = in_phase_flux_density(H, loop), energy(H, loop)
        self.field = {"k": fr.k, "g_m": fr.stator_gap, "H": H, "B_i": B_i + VALUES["mu_0"] * H, "W_h": W_h}
        loops = supply.backward_loops(f=st.frequency, c_r=fr.backward)
        self.costs = {"w_A": st.winding_heat_factor, "w_B": st.both_waves_heat_factor, "f_b": loops, **self.field}

    @functools.cached_property
    def by_field(self):
        """The thickness that the gap field allows, by the law of the thin ring."""
        return self._thin(law.field_limited_thickness, B_l=self.st.frame.forward_field_limit)

    def driven(self, t):
        """Return (loading, gap field) of a ring."""
        if self.rough:
            B, heat = self.used(t)
            heat = heat - self.costs["w_B"] * B**2 - self.costs["f_b"] * self.field["W_h"] * t
            return np.sqrt(heat / self.costs["w_A"]), B
        return law.layered_ring_loading(t=t, **self.field), law.layered_ring_gap_field(t=t, **self.field)

    def used(self, t):
        """Return (gap field, heat of winding and core per bore area) of a ring."""
        if self.rough:
            return law.thin_ring_gap_field(t=t, **self.field), law.ring_heat(t=t, **self.costs)
        A, B = self.driven(t)
        return B, self.costs["w_A"] * A**2 + self.costs["w_B"] * B**2 + self.costs["f_b"] * self.field["W_h"] * t

    def filling(self):
        """Return the thickness that depth and gap field allow."""
        depth = self.st.frame.rotor_depth
        t = np.minimum(self.by_field, depth)
        for _ in range(0 if self.rough else 2):
            B = law.layered_ring_gap_field(t=t, **self.field)
            t = np.minimum(self._by_field(t, B), depth)
        return t

    def thickest(self):
        """Return the thickness that depth, gap field and heat allow: by the laws of the thin ring, then corrected."""
        depth, by_heat = self.st.frame.rotor_depth, self._thin(law.heat_limited_thickness, q_b=self.st.budget)
        t = np.minimum(np.minimum(by_heat, self.by_field), depth)
        for _ in range(0 if self.rough else 3):
            B, heat = self.used(t)
            by_law = self._thin(law.heat_limited_thickness, q_b=heat)
            t = np.minimum(np.minimum(by_heat * _share(t, by_law), self._by_field(t, B)), depth)
        return t

    def _by_field(self, t, B):
        """Return the thickness that the gap field allows, corrected by a ring t thick that has the gap field B."""
        return self.by_field * _share(t, self._thin(law.field_limited_thickness, B_l=B))

    def _thin(self, formula, **more):
        return formula(**more, **{name: value for name, value in self.costs.items() if name in formula.args})


def _share(t, by_law):
    """Return the thickness over that which the law of the thin ring gives for the same; 1 where it has none."""
    return np.where(by_law > 0, t / by_law, 1.0)


def _shear_asked(st):
    """Return the shear stress that meets the torques a brief asks for, with a hair to spare."""
    fr, brief = st.frame, st.frame.brief
    running, at_rest = (0.0 if asked is None else asked for asked in (brief.torque, brief.starting_torque))
    torque = np.maximum(running + st.friction_torque, at_rest + fr.bearing_torque)
    return torque * (1 + 1e-9) / geometry.gap_torque(sigma_t=1.0, D=fr.D, L=fr.L)
