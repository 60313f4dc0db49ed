"""Words of the trade for the fields of a brief, and for the names a field takes: every one once, with what is meant.

Nothing typed under a trade word is taken: it is refused with the field that is meant, and how to write it there.
"""

import difflib
import re
from dataclasses import dataclass, field, replace


@dataclass(frozen=True)
class Word:
    """What some words of the trade mean: ``fields`` {field: example}, the likeliest first, and a remark.

    A bare number typed under such a word has the ``unit``, or is over ``divisor`` what the field takes; ``says`` {what
    was typed: what to give}. With ``same=False`` what was typed is another quantity than the field takes.
    """

    words: str
    fields: dict
    remark: str = ""
    unit: str = ""
    divisor: int = 1
    says: dict = field(default_factory=dict)
    same: bool = True

    def suggestion(self, value, reads):
        """Return the fields meant, with the value typed where its first field ``reads(field, value)`` it."""
        first, *others = self.fields
        own = next((one for one in self._forms(value) if reads(first, one)), self.fields[first])
        shown = [(first, own), *((name, self.fields[name]) for name in others)]
        return " or ".join(name if given is None else f"{name}={_quoted(given)}" for name, given in shown)

    def _forms(self, value):
        """Return what a typed value may stand for, as its field takes it."""
        is_short = isinstance(value, (int, float)) or (isinstance(value, str) and len(value) < 60)
        if not self.same or isinstance(value, bool) or not is_short:
            return
        word = value.strip().lower() if isinstance(value, str) else value
        number = _number(word)
        if word in self.says:
            yield self.says[word]
        if number is None or (self.divisor == 1 and not self.unit):
            yield value
        elif self.unit:
            yield f"{number:g} {self.unit}"
        elif number % self.divisor == 0:
            yield int(number) // self.divisor
        if isinstance(word, str) and re.fullmatch(r"[0-9.]{1,9} ?%", word) and _number(word[:-1].strip()) is not None:
            yield _number(word[:-1].strip()) / 100


def _number(word):
    """Return a typed number as a float, None of anything else."""
    if isinstance(word, str):
        return float(word) if re.fullmatch(r"[0-9]+(?:\.[0-9]*)?", word) else None
    return float(word) if abs(word) < 1e12 else None


def _quoted(value):
    return f'"{value}"' if isinstance(value, str) and '"' not in value else repr(value)


_MAINS = {1: "single-phase", 3: "three-phase", "1": "single-phase", "3": "three-phase"}
_PULL_OUT = "of the rated torque, as a bare number"
TABLE = (
    # size
    Word("bore stator_bore inner_diameter", {"rotor_diameter": "20 mm"}, "the rotor is two gaps narrower", "mm"),
    Word("diameter d dia rotor_dia rotor_size size rotor_od", {"rotor_diameter": "20 mm"}, unit="mm"),
    Word("radius rotor_radius r", {"rotor_diameter": "20 mm"}, "twice the radius", same=False),
    Word(
        "stack_length stack length l core_length axial_length lamination_stack", {"active_length": "20 mm"}, unit="mm"
    ),
    Word(
        "airgap gap air_gap_length minimum_air_gap clearance",
        {"gap_floor": "0.3 mm"},
        "the smallest that can be made; beside gap_ratio=0 it is the gap",
        "mm",
    ),
    Word(
        "shaft_height frame frame_size centre_height center_height axis_height",
        {"rotor_diameter": "100 mm"},
        "rotors of standard four-pole motors are about as wide as their shaft is high",
    ),
    Word(
        "outer_diameter od stator_diameter core_diameter",
        {"outside_ratio": 1.7},
        "outside over bore diameter",
        same=False,
    ),
    # supply and speed
    Word("frequency f freq line_frequency hz electrical_frequency", {"supply_frequency": "50 Hz"}, unit="Hz"),
    Word("mains line grid network power_supply", {"supply_frequency": "50 Hz", "supply": "three-phase"}),
    Word("phase phases number_of_phases m", {"supply": "three-phase"}, says=_MAINS),
    Word(
        "inverter converter vfd drive frequency_converter", {"supply": "drive"}, "with a (low, high) supply_frequency"
    ),
    Word("rpm speed_rpm n rated_speed shaft_speed nominal_speed revolutions", {"speed": "1500 rpm"}, unit="rpm"),
    Word("poles number_of_poles pole_number pole_count pole", {"pole_pairs": 2}, "half the number of poles", divisor=2),
    Word("pairs p", {"pole_pairs": 2}),
    Word("capacitor", {"turning_share": 0.8}, "with supply='single-phase'; 0.7 to 1 of capacitor motors"),
    Word("shaded_pole shading_ring shading_coil", {"shaded_share": 0.3}, "with supply='single-phase'"),
    # what is asked
    Word("load", {"torque": "2 N*m", "power": "1 kW", "load_inertia_ratio": 1.0}),
    Word("torque_nm rated_torque nominal_torque shaft_torque t", {"torque": "2 N*m"}, unit="N*m"),
    Word("rated_power output shaft_power output_power rating", {"power": "1 kW"}, unit="W"),
    Word(
        "locked_rotor_torque start_torque breakaway_torque starting_moment stall_torque",
        {"starting_torque": "2 N*m", "starting_torque_ratio": 1.5},
        unit="N*m",
    ),
    Word("breakdown_torque pull_out_torque overload overload_capacity", {"pull_out_reserve": 1.6}, _PULL_OUT),
    Word("slip rated_slip", {"slip_limit": 0.05}),
    Word(
        "inertia moment_of_inertia load_inertia j",
        {"load_inertia_ratio": 1.0},
        "inertia of the load over the rotor's, a bare number",
        same=False,
    ),
    # heat and duty
    Word("temp_rise rise delta_t winding_temperature_rise", {"temperature_rise": "80 K"}, unit="K"),
    Word(
        "insulation_class thermal_class insulation class_of_insulation insulation_system",
        {"temperature_rise": "class F"},
        says={name: f"class {name.upper()}" for name in "abefh"},
    ),
    Word(
        "ambient_temperature ambient_temp t_ambient room_temperature coolant_temperature",
        {"ambient": "40 degC"},
        unit="degC",
    ),
    Word("cooling_method cooling_type ic ventilation enclosure", {"cooling": "IC 411"}),
    Word("heat_transfer_coefficient htc h alpha", {"cooling": "25 W/m^2/K"}, unit="W/m^2/K"),
    Word("duty_type operating_mode", {"duty": "S1"}),
    Word("duty_cycle cyclic_duration_factor cdf ed on_time", {"duty_factor": 0.4}, "with duty='S3'"),
    Word("altitude elevation height_above_sea", {"air_pressure": "70 kPa"}, "70 kPa at 3000 m", same=False),
    # stator
    Word(
        "fill_factor slot_filling copper_fill slot_fill_factor filling_factor fill space_factor",
        {"slot_fill": 0.4},
        "copper over the area of the slots",
    ),
    Word("flux_density b gap_flux_density airgap_flux_density gap_field", {"gap_field_limit": "0.9 T"}, unit="T"),
    Word("tooth_flux_density teeth_flux_density tooth_field", {"tooth_field_limit": "1.8 T"}, unit="T"),
    Word("yoke_flux_density back_iron_flux_density core_flux_density", {"yoke_field_limit": "1.5 T"}, unit="T"),
    Word(
        "slots number_of_slots slot_number",
        {"slots_per_pole_and_phase": 2},
        "slots over poles times phases",
        same=False,
    ),
    Word("slot_opening", {"slot_opening_ratio": 0.25}, "opening over slot pitch", same=False),
    Word("slot_depth slot_height", {"slot_depth_ratio": 0.15}, "over rotor diameter", same=False),
    Word(
        "lamination laminations electrical_steel steel_grade iron_loss core_material",
        {"core_loss": "4 W/kg", "stacking_factor": 0.96},
        "of the sheet at 1.5 T and 50 Hz",
        "W/kg",
    ),
    Word("winding_material wire_material", {"conductor": "copper"}),
    Word("wire wire_diameter wire_gauge", {"thickest_wire": "1.5 mm"}, "with thinnest_wire", "mm"),
    Word("winding_type coil", {"winding": "wound"}),
    # rotor
    Word("material", {"rotor_material": "aluminium", "conductor": "copper"}, "of the rotor, or of the winding"),
    Word("ring_material hysteresis_material", {"rotor_material": "36 % cobalt steel"}),
    Word("cage cage_material bar_material", {"rotor_material": "aluminium"}),
    Word("magnet_grade magnet_material magnets permanent_magnet pm", {"magnet": "sintered neodymium"}),
    Word("rotor_type rotor_kind machine_type", {"reluctance_rotor": "best", "induction_rotor": "cage"}),
    Word("bridge bridges rib rib_thickness", {"rib_floor": "0.3 mm"}, "the thinnest that can be cut", "mm"),
    Word("bearings bearing_type", {"bearing": "ball"}),
    Word("viscosity oil_viscosity", {"lubricant_viscosity": "20 mPa*s"}),
    Word("rim_speed tip_speed peripheral_speed surface_speed", {"rim_speed_limit": "100 m/s"}, unit="m/s"),
)
_RESULTS = {  # words for what a choice answers: the figure of a design
    "efficiency eta": "efficiency",
    "power_factor cos_phi cosphi pf": "power_factor",
    "current_density": "current_density_rms",
    "current_loading linear_current_density electric_loading specific_electric_loading": "linear_current_density_rms",
    "starting_current locked_rotor_current inrush": "starting_current",
    "mass weight": "mass",
    "shear_stress": "shear_stress",
}


def plain(name):
    """Return a name as words are looked up: in small letters, without signs between.

    Examples
    --------
    >>> plain("Air_gap")
    'airgap'
    """
    return re.sub(r"[\s_.-]", "", name).lower()


WORDS = {plain(name): word for word in TABLE for name in word.words.split()}
RESULTS = {plain(name): figure for names, figure in _RESULTS.items() for name in names.split()}
_UNITS = {"m": "m", "mm": "mm", "um": "um", "cm": "cm", "in": "inch", "nm": "N*m", "rpm": "rpm", "hz": "Hz", "w": "W"}
_UNITS |= {"kw": "kW", "hp": "hp", "c": "degC", "k": "K", "degc": "degC", "t": "T", "s": "s", "min": "min"}
VALUES = {  # {field: {word of the trade: the name that the field takes}}
    "cooling": {
        **{"TENV": "IC 410", "TEFC": "IC 411", "TEBC": "IC 416", "TEAO": "IC 418"},
        **dict.fromkeys(("natural convection", "free convection", "convection", "unventilated"), "still air"),
        **dict.fromkeys(("fan", "fan cooled", "self ventilated", "shaft-mounted fan"), "shaft fan"),
        **dict.fromkeys(("blower", "forced ventilation", "forced convection", "separate fan"), "forced air"),
        **dict.fromkeys(("jacket", "water cooled", "water cooling", "liquid", "liquid jacket"), "water jacket"),
        **dict.fromkeys(("oil", "oil cooled", "oil cooling"), "oil jacket"),
        "flange mounted": "flange",
    },
    "supply": {
        **dict.fromkeys(("three phase", "3-phase", "3 phase", "3ph", "3~", "mains", "line", "grid"), "three-phase"),
        **dict.fromkeys(("single phase", "1-phase", "1 phase", "1ph", "1~"), "single-phase"),
        **dict.fromkeys(("inverter", "converter", "vfd", "frequency converter", "variable frequency drive"), "drive"),
    },
    "conductor": {"cu": "copper", "al": "aluminium", "alu": "aluminium", "aluminum": "aluminium"},
    "rotor_material": {
        **{"cu": "copper", "al": "aluminium", "alu": "aluminium", "aluminum": "aluminium", "auto": "best"},
        **{"alnico": "cast AlNiCo 5", "vicalloy": "52Co-10V alloy", "cobalt steel": "36 % cobalt steel"},
    },
    "magnet": {
        **dict.fromkeys(("ndfeb", "neodymium", "neo", "neodymium iron boron", "rare earth"), "sintered neodymium"),
        **dict.fromkeys(("smco", "samarium-cobalt", "sm2co17"), "samarium cobalt"),
        **dict.fromkeys(("ferrite", "ceramic", "barium ferrite", "strontium ferrite"), "hard ferrite"),
    },
    "bearing": {
        **dict.fromkeys(("ball bearing", "rolling", "deep groove", "antifriction"), "ball"),
        **dict.fromkeys(("sleeve", "journal", "sleeve bearing", "plain bearing", "jewel"), "plain"),
    },
    "duty": {"continuous": "S1", "short-time": "S2", "short time": "S2", "intermittent": "S3", "periodic": "S3"},
    "induction_rotor": {
        **dict.fromkeys(("squirrel cage", "squirrel-cage", "cage rotor", "bars"), "cage"),
        **dict.fromkeys(("drag cup", "cup", "drag-cup", "sleeve"), "sheet"),
    },
    "reluctance_rotor": {
        **dict.fromkeys(("salient pole", "salient poles", "toothed"), "salient"),
        **dict.fromkeys(("synrm", "synchronous reluctance", "barriers", "flux barrier"), "flux barriers"),
    },
    "winding": {
        **dict.fromkeys(("random wound", "round wire", "distributed"), "wound"),
        **dict.fromkeys(("pcb", "printed", "plated"), "etched"),
    },
    "can": {"steel": "stainless steel", "stainless": "stainless steel", "hastelloy": "nickel alloy", "pps": "plastic"},
}


def hint(name, value, fields, read):
    """Return what a name that is no field may mean, with how to write it.

    Parameters
    ----------
    name, value : str, object
        the keyword and what was typed for it
    fields : dict
        {name: field} of a brief
    read : callable
        ``read(field, value)`` raises TypeError or ValueError where the field does not take the value

    Examples
    --------
    >>> hint("poles", 4, {"pole_pairs": None}, lambda field, value: value)
    'did you mean pole_pairs=2? half the number of poles'
    """
    name = name[:60]
    known = {plain(one): Word("", {one: None}) for one in fields}
    word = (known | WORDS).get(plain(name)) or _with_unit(name, known | WORDS)
    near = difflib.get_close_matches(name, fields, n=3, cutoff=0.75)
    if word is None and plain(name) in RESULTS:
        return f"it is a figure of what is chosen: choose(brief).best.{RESULTS[plain(name)]}"
    if word is None and not near:
        word = next((WORDS[key] for key in difflib.get_close_matches(plain(name), WORDS, n=1, cutoff=0.8)), None)
    if word is None:
        near = near or difflib.get_close_matches(name, fields, n=3, cutoff=0.6)
        return f"did you mean {' or '.join(near)}?" if near else "Brief.describe() lists the fields"

    def reads(field, given):
        try:
            read(fields[field], given)
        except (TypeError, ValueError):
            return False
        return True

    return f"did you mean {word.suggestion(value, reads)}? {word.remark}".rstrip()


def _with_unit(name, words):
    """Return what a name that ends in a unit means, as rotor_diameter_mm; None if it is none such."""
    stem, _, unit = name.rpartition("_")
    word = words.get(plain(stem)) if unit.lower() in _UNITS else None
    return word and replace(word, unit=_UNITS[unit.lower()])
