"""The brief: what the drive must do and what it is made of, read strictly and kept in SI."""

import dataclasses
import difflib
import functools
from dataclasses import dataclass, field
from types import SimpleNamespace

from scaling.decision import consistency, uncertainty
from scaling.ground import materials, messages, units
from scaling.ground.units import Given
from scaling.models.heat import MODES

_REQUIRED = dataclasses.MISSING
RENAMED = {"spreads": "uncertainties"}  # names of earlier versions


def _given(kind, default, doc, *, zero=False, low=None, high=None, optional=False, pair=False):
    meta = {
        "kind": kind,
        "doc": doc,
        "zero": zero,
        "low": low,
        "high": high,
        "optional": optional,
        "pair": pair,
    }
    return field(metadata=meta) if default is _REQUIRED else field(default=default, metadata=meta)


def _one_of(default, choices, doc):
    return field(default=default, metadata={"choices": tuple(choices), "optional": default is None, "doc": doc})


def _yes_no(default, doc):
    return field(default=default, metadata={"bool": True, "doc": doc})


_ROTOR_MATERIALS = ("best", *materials.CONDUCTORS, *materials.LOOP_MATERIALS)


@dataclass(frozen=True, kw_only=True)
class Brief:
    """What a drive must do, where it sits, and what may be made.

    Every field takes a string of one number and one unit ("20 mm"), or a Pint quantity; ratios are bare numbers.
    ``Brief.describe()`` lists every field with its default and reason. Fields keep what was typed; ``.si`` holds SI.

    A number may have a spread, for ``certainty``: ``"30 um +/- 10 um"`` or ``"30 um +/- 20 %"`` (normal, coverage
    factor 2), a ``(low, high)`` pair (uniform; of supply frequency and speed it is a range to choose from instead), or
    a frozen distribution of ``scipy.stats``, with its unit where it has one: ``(distribution, "um")``.
    ``.uncertainties`` holds them by field, ``.si`` their medians.

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

    rotor_diameter: Given = _given("length", _REQUIRED, "rotor diameter at the gap: the size")
    active_length: Given = _given("length", None, "active length; the rotor diameter if not given", optional=True)
    gap_floor: Given = _given(
        "length", "50 um", "smallest clearance that can be made; ordinary turned parts and bearings"
    )
    gap_ratio: Given = _given(
        "ratio", 0.005, "clearance over rotor diameter where the floor does not bind", zero=True, high=0.2
    )
    supply_frequency: Given = _given(
        "frequency",
        "50 Hz",
        "one value: a fixed supply; a (low, high) pair: a drive that chooses and runs the rotor up",
        pair=True,
    )
    supply: str | None = _one_of(
        None,
        ("three-phase", "single-phase", "drive"),
        "three-phase mains for one supply_frequency and a drive for a pair, if not given",
    )
    turning_share: Given = _given(
        "ratio",
        0.8,
        "single-phase supply: forward less backward wave over their sum; capacitor 0.7 to 1, shaded pole about 0.3, "
        "one phase alone 0",
        zero=True,
        high=1.0,
    )
    speed: Given = _given(
        "rotational speed",
        None,
        "shaft speed asked for: one value, met within speed_tolerance, or a (low, high) pair",
        optional=True,
        pair=True,
    )
    speed_tolerance: Given = _given(
        "ratio", 0.1, "accepted departure from a single speed; covers ordinary slip", high=1.0
    )
    torque: Given = _given("torque", None, "continuous shaft torque asked for; gives the margin", optional=True)
    starting_torque: Given = _given(
        "torque", None, "torque asked for at standstill; friction only if not given", optional=True
    )
    cooling: Given = field(
        default="still air",
        metadata={
            "cooling": True,
            "doc": f"one of {', '.join(MODES)}, or a coefficient such as '25 W/m^2/K'",
        },
    )
    ambient: Given = _given(
        "temperature", "40 degC", "temperature of the coolant; 40 °C is the usual rating reference", low=150.0
    )
    air_pressure: Given = _given("pressure", "101.325 kPa", "pressure of the air around; 70 kPa at 3000 m")
    temperature_rise: Given = _given("temperature rise", "60 K", "rise of winding and outside surface over ambient")
    coolant_speed: Given = _given("linear speed", "3 m/s", "speed of forced air or water past the outside")
    fan_speed_ratio: Given = _given(
        "ratio", 1.0, "air speed of a shaft fan over rim speed; fan a little larger than the rotor", high=5.0
    )
    fin_factor: Given = _given(
        "ratio", 1.0, "surface with fins over bare outside; about 2 for a finned frame", low=1.0, high=20.0
    )
    emissivity: Given = _given("ratio", 0.85, "emissivity of the painted outside", zero=True, high=1.0)
    medium_conductivity: Given = _given(
        "thermal conductivity",
        "0.5 W/m/K",
        "conductivity of the medium around, for cooling='conduction'; potting, oil or wet ground",
    )
    rim_speed_limit: Given = _given(
        "linear speed", "100 m/s", "largest rim speed; laminated or cage rotors without a sleeve"
    )
    gap_field_limit: Given = _given(
        "flux density", None, "largest peak gap field; what teeth and yoke allow if not given", low=1e-6, optional=True
    )
    tooth_field_limit: Given = _given("flux density", "1.8 T", "largest peak flux density in the teeth", low=1e-6)
    yoke_field_limit: Given = _given("flux density", "1.5 T", "largest peak flux density in the yoke", low=1e-6)
    slot_depth_ratio: Given = _given("ratio", 0.15, "slot depth over rotor diameter", high=1.0)
    slot_fill: Given = _given(
        "ratio", 0.4, "copper over the area of the slots; 0.3 to 0.45 of round wire, 0.6 of bars", high=0.907
    )
    conductors_per_slot: Given = _given(
        "positive integer",
        None,
        "if given, enamel, liner and packing of round wire decide, instead of slot_fill",
        optional=True,
    )
    slot_liner: Given = _given(
        "length", "0.25 mm", "insulation between wires and slot, where conductors_per_slot is given"
    )
    wire_packing: Given = _given(
        "ratio", 0.6, "wires with their enamel over the room in the slot; 0.55 to 0.65 wound at random", high=0.907
    )
    thinnest_wire: Given = _given("length", "20 um", "finest conductor of a wire that can be wound")
    tooth_share: Given = _given("ratio", 0.5, "tooth share of the slot layer", high=1.0)
    slot_opening_ratio: Given = _given("ratio", 0.25, "slot opening over slot pitch", high=0.9)
    slots_per_pole_and_phase: Given = _given(
        "positive integer", 2, "stator slots; one where two would be finer than the floor", high=12
    )
    slot_pitch_floor: Given = _given(
        "length", "200 um", "finest slot pitch that can be cut and wound; bounds the poles of small machines"
    )
    outside_ratio: Given = _given("ratio", 1.7, "outside diameter over bore diameter", low=1.0, high=10.0)
    end_turn_ratio: Given = _given("ratio", 1.5, "end turn length over pole pitch", zero=True, high=10.0)
    end_leakage: Given = _given(
        "ratio", 0.4, "leakage permeance of the end winding over mu_0 and its length; 0.3 to 0.5", zero=True, high=5.0
    )
    winding_factor: Given = _given("ratio", 0.95, "winding factor of the fundamental", low=0.05, high=1.0)
    rotor_depth_ratio: Given = _given(
        "ratio",
        0.1,
        "deepest active rotor layer (bars, ring, magnet, interpolar space) over diameter",
        high=0.4,
    )
    bar_share: Given = _given("ratio", 0.5, "conductor share of the cage's layer", high=1.0)
    pole_arc: Given = _given("ratio", 0.5, "pole arc of a reluctance rotor over its pole pitch", high=0.95)
    reluctance_rotor: str = _one_of(
        "best", ("best", "salient", "flux barriers"), "plain salient poles, a rotor cut by flux barriers, or the better"
    )
    barriers: Given = _given(
        "positive integer", 4, "flux barriers per pole; fewer where they would be too fine", high=20
    )
    barrier_share: Given = _given("ratio", 0.4, "barrier share of the rotor's depth, the rest is iron", high=0.9)
    rib_floor: Given = _given(
        "length",
        "0.3 mm",
        "thinnest rib, segment or barrier that can be cut; about the sheet's thickness, etched 0.1 mm",
    )
    rib_ratio: Given = _given(
        "ratio", 0.005, "rib thickness over rotor diameter where the floor does not bind: strength", zero=True, high=0.1
    )
    magnet_arc: Given = _given("ratio", 0.8, "largest magnet arc over its pole pitch", high=1.0)
    rotor_surface: str = _one_of(
        "laminated", ("laminated", "solid"), "solid surfaces are heated and braked by the ripple of open slots"
    )
    conductor: str = _one_of("copper", materials.CONDUCTORS, "winding material")
    rotor_material: str = _one_of(
        "best", _ROTOR_MATERIALS, "rotor material, for the types it can serve; the others choose"
    )
    magnet: str = _one_of("sintered neodymium", materials.MAGNETS, "magnet of the yardstick")
    induction_rotor: str = _one_of(
        "cage", ("cage", "sheet"), "cage in iron slots, or plain sheet (drag cup) on smooth iron"
    )
    pole_pairs: Given = field(default="best", metadata={"poles": True, "doc": "number of pole pairs, or 'best'"})
    field_geometry: str = _one_of(
        "round", ("round", "plane"), "field in concentric rings, or of the machine unrolled as if flat: for comparison"
    )
    slip_limit: Given = _given(
        "ratio",
        0.1,
        "largest running slip of an induction rotor: the share of its power it keeps as heat; 0.3 at the most",
        high=0.99,
    )
    core_loss: Given = _given(
        "specific loss", "4 W/kg", "sheet's loss at 1.5 T, 50 Hz; grade M400-50A of EN 10106 by its name"
    )
    core_building_factor: Given = _given(
        "ratio", 1.7, "core loss in the machine over that of the sheet", low=1.0, high=10.0
    )
    bearing_friction: Given = _given(
        "ratio", 0.1, "friction coefficient of the bearing; plain 0.1, ball 0.0015", zero=True, high=1.0
    )
    bearing_diameter_ratio: Given = _given("ratio", 0.15, "bearing diameter over rotor diameter", zero=True, high=1.0)
    duty: str = _one_of("S1", ("S1", "S2", "S3"), "S1 continuous, S2 short time from cold, S3 on and off periodically")
    duty_time: Given = _given("time", "10 min", "S2: time at work; S3: time at work and at rest together")
    duty_factor: Given = _given("ratio", 0.4, "S3: share of the time at work", high=1.0)
    overspeed: Given = _given(
        "ratio", 1.2, "overspeed that rotor parts must stand over the speed in service", low=1.0, high=3.0
    )
    sleeved: bool = _yes_no(False, "whether a sleeve holds the rotor's parts, so that rim_speed_limit alone counts")
    load_at_start: Given = _given(
        "ratio", 0.0, "share of the torque asked for that acts from rest on; fan 0, hoist 1", zero=True, high=10.0
    )
    starting_angle: str = _one_of(
        "favourable", ("favourable", "any"), "angle from which a synchronous rotor must pull itself in"
    )
    load_inertia_ratio: Given = _given("ratio", 1.0, "inertia of the load over the rotor's", zero=True, high=1e6)
    starting_current_ratio: Given = _given(
        "ratio",
        4.0,
        "induction: current at standstill over the continuous one; 4 to 7 direct on line",
        low=1.0,
        high=20.0,
    )
    self_starting: bool = _yes_no(True, "must start from rest by itself")
    synchronous: bool = _yes_no(False, "must hold exact synchronous speed")
    magnets_allowed: bool = _yes_no(False, "whether the magnet rotor competes; it is always shown as yardstick")
    si: SimpleNamespace = field(init=False, repr=False, compare=False, default_factory=SimpleNamespace)
    uncertainties: dict = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self):
        typed = {f.name: _read(f, getattr(self, f.name)) for f in dataclasses.fields(self) if f.init}
        uncertainties = {name: value for name, value in typed.items() if isinstance(value, uncertainty.UNCERTAINTIES)}
        object.__setattr__(self, "_typed", typed)
        object.__setattr__(self, "uncertainties", uncertainties)
        object.__setattr__(self, "si", self.drawn({name: known.median for name, known in uncertainties.items()}))
        consistency.refuse(self, self.si)

    def __getattr__(self, name):
        if name in RENAMED:
            raise AttributeError(messages.renamed(name, RENAMED, "a brief"))
        raise AttributeError(f"a brief has no {name!r}; Brief.describe() lists the fields")

    def drawn(self, values):
        """Return the SI values with those of the fields that have a spread replaced: {field: number or array}."""
        si = SimpleNamespace(**self._typed | values)
        if si.active_length is None:
            si.active_length = si.rotor_diameter
        low_high = si.supply_frequency
        if si.supply is None:
            si.supply = "drive" if isinstance(low_high, tuple) else "three-phase"
        if isinstance(low_high, tuple) != (si.supply == "drive"):
            raise ValueError(
                f"supply: got {si.supply!r} beside supply_frequency={messages.shorten(self.supply_frequency)}; "
                "expected 'drive' with a (low, high) pair of frequencies, any other with one frequency"
            )
        si.supply_frequency = low_high if isinstance(low_high, tuple) else (low_high, low_high)
        if si.speed is not None and not isinstance(si.speed, tuple):
            band = si.speed_tolerance
            si.speed = (si.speed * (1.0 - band), si.speed * (1.0 + band))
        return si

    @property
    def supply_is_fixed(self) -> bool:
        """Whether the supply has one frequency."""
        return self.si.supply_frequency[0] == self.si.supply_frequency[1]

    @classmethod
    def describe(cls) -> str:
        """Return every field with default and meaning as a Markdown table."""
        rows = ["| field | default | meaning |", "|---|---|---|"]
        for f in dataclasses.fields(cls):
            if f.init:
                default = "required" if f.default is dataclasses.MISSING else f.default
                rows.append(f"| `{f.name}` | {default} | {f.metadata['doc']} |")
        return "\n".join(rows)


def _read(f, value):
    """Return a field's value in SI, or raise an error that names the field."""
    meta = f.metadata
    if value is None and meta.get("optional"):
        return None
    if "choices" in meta:
        return messages.choice(value, meta["choices"], f.name)
    if "bool" in meta:
        if not isinstance(value, bool):
            raise TypeError(f"{f.name}: got {messages.shorten(value)}; expected True or False")
        return value
    if "cooling" in meta:
        return _read_cooling(value)
    if "poles" in meta:
        return None if isinstance(value, str) and value == "best" else _read_poles(value)
    uncertain = uncertainty.read(f.name, value, meta, lambda one: _bounded(f.name, meta["kind"], one, meta))
    if uncertain is not None:
        return uncertain
    if meta["pair"] and isinstance(value, (tuple, list)):
        if len(value) != 2:
            raise ValueError(f"{f.name}: got {len(value)} values; expected one value or a (low, high) pair")
        low, high = (_bounded(f.name, meta["kind"], v, meta) for v in value)
        if low > high:
            raise ValueError(
                f"{f.name}: got {messages.shorten(value)}, upside down; expected a (low, high) pair, low first"
            )
        return low, high
    return _bounded(f.name, meta["kind"], value, meta)


def _bounded(name, kind, value, meta):
    number = units.read(value, kind, name, zero_allowed=meta.get("zero", False))
    low, high = meta.get("low"), meta.get("high")
    if (low is not None and number < low) or (high is not None and number > high):
        expected = " and ".join(
            t for t in (low is not None and f"at least {low:g}", high is not None and f"at most {high:g}") if t
        )
        raise ValueError(f"{name}: got {messages.shorten(value)}; expected {expected}")
    return number


def _read_poles(value):
    try:
        return _bounded("pole_pairs", "positive integer", value, {"high": 200})
    except (TypeError, ValueError) as error:
        raise type(error)(f"{error} Or 'best'.") from error


def _read_cooling(value):
    if isinstance(value, str) and not any(ch.isdigit() for ch in value):
        return messages.choice(value, MODES, "cooling")

    def coefficient(one):
        return units.read(one, "heat transfer coefficient", "cooling")

    try:
        uncertain = uncertainty.read("cooling", value, {"kind": "heat transfer coefficient"}, coefficient)
        return coefficient(value) if uncertain is None else uncertain
    except (TypeError, ValueError) as error:
        modes = ", ".join(f"'{mode}'" for mode in MODES)
        raise type(error)(f"{error} Or one of {modes}.") from error


def _with_helpful_names(init):
    """Wrap the generated __init__ so that an unknown field gets an answer with the nearest known ones."""
    known = [f.name for f in dataclasses.fields(Brief) if f.init]

    @functools.wraps(init)
    def checked(self, **given):
        for name in given:
            if name not in known:
                near = difflib.get_close_matches(name, known, n=3, cutoff=0.5)
                hint = f"did you mean {' or '.join(near)}?" if near else "Brief.describe() lists the fields"
                raise TypeError(f"{messages.shorten(name)} is not a field of Brief; {hint}")
        if "rotor_diameter" not in given:
            raise TypeError("rotor_diameter is missing; expected a length such as '20 mm'")
        init(self, **given)

    return checked


Brief.__init__ = _with_helpful_names(Brief.__init__)  # type: ignore[method-assign]
