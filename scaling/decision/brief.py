"""The brief: what the drive must do and what it is made of, read strictly and kept in SI."""

import dataclasses
import functools
from dataclasses import dataclass, field
from types import SimpleNamespace

import numpy as np

from scaling.decision import consistency, field_groups, frame, trade_words, uncertainty
from scaling.decision.brief_electrical import Electrical
from scaling.decision.brief_heat import Heat
from scaling.decision.brief_rotor import RotorAsMade
from scaling.decision.brief_stator import StatorAsMade
from scaling.decision.cooling import fins_of
from scaling.decision.fields import GONE, RENAMED, given, one_of, read, yes_no
from scaling.ground import insulation, messages
from scaling.ground.units import Given
from scaling.laws import thermal
from scaling.laws.shading import shaded_turning_share

CAPACITOR = 0.8  # turning share of capacitor motors: common practice, no source


@dataclass(frozen=True, kw_only=True)
class Brief(RotorAsMade, StatorAsMade, Heat, Electrical):
    """What a drive must do, where it sits, and what may be made.

    Every field takes a string of one number and one unit ("20 mm"), or a Pint quantity; ratios are bare numbers.
    ``Brief.describe()`` lists every field with its default and reason. Fields keep what was typed; ``.si`` holds SI.

    A number may have a spread, for ``certainty``: ``"30 um +/- 10 um"`` or ``"30 um +/- 20 %"`` (normal, coverage
    factor 2), a ``(low, high)`` pair (uniform; of supply frequency and speed it is a range to choose from instead), or
    a frozen distribution of ``scipy.stats``, with its unit where it has one: ``(distribution, "um")``.
    ``.uncertainties`` holds them by field, ``.si`` their medians. ``temperature_rise`` takes a thermal class, too:
    ``"class F"``, ``"F"``, ``"155 (F)"`` or ``"class 155"``; ``.si.thermal_class`` keeps its name, else None.

    Raises
    ------
    TypeError
        for an unknown field or a value of the wrong Python type
    ValueError
        for anything that cannot be read as one quantity of the field's kind, or that contradicts another field

    Examples
    --------
    >>> brief = Brief(rotor_diameter="20 mm", gap_floor="30 um", supply_frequency="50 Hz")
    >>> float(brief.si.active_length)
    0.02
    """

    rotor_diameter: Given = given(
        "length",
        None,
        "rotor diameter at the gap: the size; may be left open where outside_diameter is given",
        optional=True,
    )
    active_length: Given = given(
        "length",
        None,
        "active length; the rotor diameter if neither it nor overall_length is given",
        optional=True,
    )
    outside_diameter: Given = given(
        "length",
        None,
        "outside diameter of the core: bore, slot depth and tooth share are the best of each type, where not given",
        optional=True,
    )
    overall_length: Given = given(
        "length", None, "length over the end windings, which leave the core what they do not take", optional=True
    )
    gap_floor: Given = given(
        "length", "50 um", "smallest clearance that can be made; ordinary turned parts and bearings"
    )
    gap_ratio: Given = given(
        "ratio",
        0.003,
        "clearance over rotor diameter where the floor does not bind; 0.003 of induction motors from 80 to 300 mm",
        zero=True,
        high=0.2,
    )
    supply_frequency: Given = given(
        "frequency",
        "50 Hz",
        "one value: a fixed supply; a (low, high) pair: a drive that chooses and runs the rotor up",
        pair=True,
    )
    supply: str | None = one_of(
        None,
        ("three-phase", "single-phase", "drive"),
        "three-phase mains for one supply_frequency and a drive for a pair, if not given",
    )
    turning_share: Given = given(
        "ratio",
        None,
        "single-phase supply: forward less backward wave over their sum; capacitor 0.7 to 1, one phase alone 0; 0.8 if "
        "neither it nor shaded_share is given",
        zero=True,
        high=1.0,
        optional=True,
    )
    shaded_share: Given = given(
        "ratio",
        None,
        "single-phase supply: share of every pole within a shorted ring, 0.3 to 0.5; turning share and the ring's heat "
        "follow from it. No rings if not given",
        high=0.9,
        optional=True,
    )
    starting_turning_share: Given = given(
        "ratio",
        None,
        "single-phase supply: the turning share at rest, where a capacitor works at the start only; else the same",
        zero=True,
        high=1.0,
        optional=True,
    )
    speed: Given = given(
        "rotational speed",
        None,
        "shaft speed asked for: one value, which a drive meets exactly and a fixed supply within speed_tolerance, or a "
        "(low, high) pair",
        optional=True,
        pair=True,
    )
    speed_tolerance: Given = given(
        "ratio", 0.1, "fixed supply: accepted departure from a single speed; covers ordinary slip", high=1.0
    )
    torque: Given = given("torque", None, "continuous shaft torque asked for; gives the margin", optional=True)
    power: Given = given(
        "power", None, "continuous shaft power asked for, at the speed of the design; beside torque both", optional=True
    )
    starting_torque: Given = given(
        "torque", None, "locked-rotor torque asked for; friction only if not given", optional=True
    )
    pole_pairs: Given = field(default="best", metadata={"poles": True, "doc": "number of pole pairs, or 'best'"})
    field_geometry: str = one_of(
        "round", ("round", "plane"), "field in concentric rings, or of the machine unrolled as if flat: for comparison"
    )
    slip_limit: Given = given(
        "ratio",
        None,
        "largest running slip wished of an induction rotor; heat and pull_out_reserve alone bound it if not given",
        high=0.99,
        optional=True,
    )
    pull_out_reserve: Given = given(
        "ratio",
        None,
        "breakdown torque (synchronous rotors: pull-out torque) over the rated one that a fixed supply must leave; if "
        "not given induction 1.6, salient synchronous rotors 1.5, others 1.35 (IEC 60034-1, from memory); a drive's "
        "current is its reserve",
        low=1.0,
        high=10.0,
        optional=True,
    )
    starting_torque_ratio: Given = given(
        "ratio",
        None,
        "locked-rotor torque asked for over the continuous one; motors to be started on the line have 0.7 to 2.8, "
        "small ones the most (MG 1 design B, seen in a public handbook); none asked for if not given",
        high=10.0,
        optional=True,
    )
    load_at_start: Given = given(
        "ratio", 0.0, "share of the torque asked for that acts from rest on; fan 0, hoist 1", zero=True, high=10.0
    )
    starting_angle: str = one_of(
        "favourable", ("favourable", "any"), "angle from which a synchronous rotor must pull itself in"
    )
    load_inertia_ratio: Given = given("ratio", 1.0, "inertia of the load over the rotor's", zero=True, high=1e6)
    starting_cage: str = one_of(
        "best",
        ("best", "none"),
        "whether reluctance and magnet rotors have a cage to start with where a fixed supply does not pull them in",
    )
    self_starting: bool = yes_no(True, "must start from rest by itself")
    synchronous: bool = yes_no(False, "must hold exact synchronous speed")
    magnets_allowed: bool = yes_no(False, "whether the magnet rotor competes; it is always shown as yardstick")
    si: SimpleNamespace = field(init=False, repr=False, compare=False, default_factory=SimpleNamespace)
    uncertainties: dict = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self):
        typed = {f.name: read(f, getattr(self, f.name)) for f in dataclasses.fields(self) if f.init}
        known = {name: typed[name] for name in sorted(typed)}  # draws shall not hang on the order of fields
        uncertainties = {n: value for n, value in known.items() if isinstance(value, uncertainty.UNCERTAINTIES)}
        object.__setattr__(self, "_typed", typed)
        object.__setattr__(self, "uncertainties", uncertainties)
        object.__setattr__(self, "si", self.drawn({name: known.median for name, known in uncertainties.items()}))
        consistency.refuse(self, self.si)

    def __getattr__(self, name):
        if name in RENAMED:
            raise AttributeError(messages.renamed(name, RENAMED, "a brief"))
        if name in GONE:
            raise AttributeError(f"a brief has no {name!r} any more: {GONE[name]}")
        raise AttributeError(f"a brief has no {name!r}; Brief.describe() lists the fields")

    def drawn(self, values):
        """Return the SI values with those of the fields that have a spread replaced: {field: number or array}."""
        si = SimpleNamespace(**self._typed | values)
        frame.fill(self, si)
        if si.fin_factor is None:
            si.fin_factor = fins_of(self.cooling)
        si.thermal_class = None
        if isinstance(si.temperature_rise, insulation.ThermalClass):
            si.thermal_class, rise = si.temperature_rise.name, si.temperature_rise.rise
            si.temperature_rise = thermal.class_rise(theta_c=rise, T_a=si.ambient, **insulation.COOLANT)
        low_high = si.supply_frequency
        if si.supply is None:
            si.supply = "drive" if isinstance(low_high, tuple) else "three-phase"
        if isinstance(low_high, tuple) != (si.supply == "drive"):
            raise ValueError(
                f"supply: got {si.supply!r} beside supply_frequency={messages.shorten(self.supply_frequency)}; "
                "expected 'drive' with a (low, high) pair of frequencies, any other with one frequency"
            )
        si.supply_frequency = low_high if isinstance(low_high, tuple) else (low_high, low_high)
        if si.shaded_share is not None and si.turning_share is not None:
            raise ValueError(
                f"turning_share: got {messages.shorten(self.turning_share)} beside shaded_share="
                f"{messages.shorten(self.shaded_share)}, from which it follows; expected one of the two"
            )
        if si.turning_share is None:
            si.turning_share = CAPACITOR if si.shaded_share is None else shaded_turning_share(a_s=si.shaded_share)
        one_speed = si.speed is not None and (not isinstance(si.speed, tuple) or np.all(si.speed[0] == si.speed[1]))
        si.speed_is_exact = one_speed and si.supply == "drive"
        si.torque_at_rest_asked = si.starting_torque is not None or si.starting_torque_ratio is not None
        if si.speed is not None and not isinstance(si.speed, tuple):
            band = 0.0 if si.speed_is_exact else si.speed_tolerance
            si.speed = (si.speed * (1.0 - band), si.speed * (1.0 + band))
        return si

    @property
    def leaves_frame_open(self) -> bool:
        """Whether an outside is given, in which each type takes its best bore and slots."""
        return self.si.outside_diameter is not None

    @property
    def length_given(self) -> str:
        """Name of the length that the brief gives, or that stands for none."""
        return "active_length" if self.si.overall_length is None else "overall_length"

    @property
    def supply_is_fixed(self) -> bool:
        """Whether the supply has one frequency."""
        return self.si.supply_frequency[0] == self.si.supply_frequency[1]

    @classmethod
    def describe(cls, group: str | None = None) -> str:
        """Return fields with default and meaning as Markdown: ten essentials, then by groups; or those of one group.

        Parameters
        ----------
        group : str, optional
            "essentials", "load", "start", "supply", "stator", "winding", "rotor", "materials", "heat", "mechanics" or
            "model"; all if not given

        Raises
        ------
        TypeError, ValueError
            for anything else
        """
        return field_groups.describe(cls, group)


def _with_helpful_names(init):
    """Wrap the generated __init__ so that an unknown field gets an answer with the nearest known ones."""
    known = {f.name: f for f in dataclasses.fields(Brief) if f.init}

    @functools.wraps(init)
    def checked(self, **given):
        for name in given:
            if name in GONE:
                raise TypeError(f"{name!r} is not a field of Brief any more: {GONE[name]}")
            if name not in known:
                hint = trade_words.hint(name, given[name], known, read)
                raise TypeError(f"{messages.shorten(name)} is not a field of Brief; {hint}")
        if given.get("rotor_diameter") is None and given.get("outside_diameter") is None:
            raise TypeError("rotor_diameter is missing; expected a length such as '20 mm', or an outside_diameter")
        init(self, **given)

    return checked


Brief.__init__ = _with_helpful_names(Brief.__init__)  # type: ignore[method-assign]
