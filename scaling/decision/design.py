"""One machine type's best design as the reader sees it: Pint quantities, limits and reasons."""

from dataclasses import dataclass, field

from scaling.ground import units

# name: (SI unit, meaning). Field amplitudes are peak values, currents and current densities rms.
OUTPUTS = {
    "torque": ("N*m", "continuous shaft torque, friction deducted"),
    "starting_torque": (
        "N*m",
        "mean torque at standstill, bearing friction deducted; induction at its starting current",
    ),
    "maximum_torque": ("N*m", "largest torque at the continuous current"),
    "power": ("W", "mechanical power at the shaft"),
    "speed": ("rad/s", "mechanical speed"),
    "frequency": ("Hz", "electrical frequency"),
    "gap": ("m", "mechanical clearance"),
    "magnetic_gap": ("m", "effective gap of the laws, slots included"),
    "gap_field_peak": ("T", "peak of the fundamental gap field"),
    "linear_current_density_rms": ("A/m", "rms ampere-conductors per metre of bore"),
    "current_density_rms": ("A/m**2", "rms current density in the winding's copper"),
    "heat_flux": ("W/m**2", "heat per bare outside surface"),
    "heat_coefficient": ("W/m**2/K", "heat transfer coefficient of the outside"),
    "shear_stress": ("Pa", "force per gap area"),
    "rotor_diameter": ("m", "rotor diameter at the gap"),
    "active_length": ("m", "active length"),
    "outside_diameter": ("m", "outside diameter of the core"),
    "slot_depth": ("m", "slot depth"),
    "rotor_thickness": ("m", "thickness of the rotor's active layer"),
    "volt_amperes": ("V*A", "apparent power drawn"),
    "wire_diameter": ("m", "conductor of the winding's wire; NaN where conductors_per_slot is not given"),
    "thermal_time_constant": ("s", "heat capacity of the active parts over what their outside passes per kelvin"),
    "volume": ("m**3", "active envelope"),
    "mass": ("kg", "active parts, rotor as a solid cylinder"),
}
NUMBERS = {
    "slip": "slip",
    "power_factor": "power factor, leakage of slots and end winding included",
    "slot_fill": "copper share of the slot layer",
    "pull_in_need": "pull-in number that the load at the start asks for; NaN where none is needed or none is enough",
    "efficiency": "mechanical power over electrical power",
    "goodness": "magnetising reactance over rotor resistance; NaN for other types",
    "pull_in": "pull-in number; infinite where the rotor starts on its own torque",
    "saliency": "permeance ratio of the two axes; NaN for other types",
    "response": "rotor response Lambda",
}
LOSSES = ("winding", "core", "rotor", "friction")


@dataclass(frozen=True)
class Design:
    """The best design of one type: its figures as attributes, what limits it, whether it meets the brief.

    Figures are Pint quantities (``OUTPUTS``) or plain numbers (``NUMBERS``); ``losses`` names each loss; ``values``
    holds all of them in SI. ``merit`` is the merit asked for, in SI; ``reasons`` says why a design fails the
    brief and where it leaves a model's range.
    """

    kind: str
    merit: float
    merit_unit: str
    feasible: bool
    reasons: tuple
    limited_by: tuple
    material: str
    values: dict = field(repr=False)

    def __getattr__(self, name):
        values = self.__dict__.get("values", {})
        if name in OUTPUTS and name in values:
            return units.quantity(values[name], OUTPUTS[name][0])
        if name in NUMBERS and name in values:
            return values[name]
        known = ", ".join(sorted((*OUTPUTS, *NUMBERS, "losses", "pole_pairs")))
        raise AttributeError(f"a design has no figure {name!r}; it has {known}")

    def __dir__(self):
        return sorted({*super().__dir__(), *OUTPUTS, *NUMBERS})

    @property
    def pole_pairs(self):
        """Number of pole pairs."""
        return int(self.values["pole_pairs"])

    @property
    def losses(self):
        """Each loss by name, as quantities; with ``power`` they add up to the electrical input."""
        return {name: units.quantity(self.values[f"{name} loss"], "W") for name in LOSSES}
