"""Named materials, SI values, each with where it comes from.

Status of a value: *published* was seen in the source named, *memory* is the author's memory of it, *common
practice* has no source. Nothing here is a supplier's guarantee: measure the batch you buy.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Conductor:
    """A conducting material of windings and induction rotors."""

    name: str
    conductivity: float  # S/m at 20 °C
    temperature_coefficient: float  # 1/K at 20 °C
    density: float  # kg/m³
    source: str


@dataclass(frozen=True)
class LoopMaterial:
    """A material with a hysteresis loop: its outer loop, where no coercivity is given set by the energy of a 1 T loop.

    ``oriented`` grades were cooled in a field: the values hold along it, a turning field sees less. ``source`` names
    every value: where it comes from, and its status.
    """

    name: str
    remanence: float  # T
    saturation: float  # T, mu_0*H left out
    source: str
    coercivity: float | None = (
        None  # A/m, of the polarisation: that of the flux density is lower, to 7 % in the hardest
    )
    energy_at_1_T: float | None = None  # J/m³ per cycle
    energy_product: float | None = None  # J/m³, the largest B*H of the second quadrant
    strength: str = "hardened steel"  # a name of STRENGTHS
    oriented: bool = False


@dataclass(frozen=True)
class Magnet:
    """A permanent magnet material on a straight recoil line of permeability close to one."""

    name: str
    remanence: float  # T at 20 °C
    temperature_coefficient: float  # 1/K at 20 °C, loss of remanence
    hottest: float  # K, in service
    source: str


CONDUCTORS = {
    c.name: c
    for c in (
        Conductor(
            "copper",
            58.0e6,
            0.00393,
            8890.0,
            "conductivity, temperature coefficient: IEC 60028 (published); density: IEC 60028 (memory)",
        ),
        Conductor(
            "aluminium",
            35.4e6,
            0.00403,
            2703.0,
            "conductivity: IEC 60889, hard-drawn wire, top of the range 34.8-35.4 MS/m over grades (published); "
            "temperature coefficient: conductor standards (published); density: IEC 60889 (memory)",
        ),
        Conductor(
            "brass",
            15.0e6,
            0.0015,
            8500.0,
            "CuZn37; conductivity, temperature coefficient, density: handbook tables (memory); 14 to 16 MS/m by batch",
        ),
    )
}


_STEINMETZ = (
    "energy at 1 T: Steinmetz 1897, Alternating Current Phenomena, par. 80 (published); remanence, saturation: memory"
)
_HANDBOOK = "remanence, coercivity, energy product: handbook tables (memory); saturation: memory"
_ALNICO = (
    "remanence, coercivity: middle of the handbook ranges {} (published); energy product: handbook tables (memory); "
    "saturation: memory"
)
_ISOTROPIC = (  # grades that were not cooled in a field; particles of one domain at random keep half their saturation
    "remanence, energy product: trade tables, {} (published); coercivity: {}; saturation: twice the remanence (memory)"
)
LOOP_MATERIALS = {
    m.name: m
    for m in (
        LoopMaterial("soft sheet steel", 1.0, 2.0, _STEINMETZ, energy_at_1_T=829.0, strength="electrical sheet"),
        LoopMaterial("cast iron", 0.55, 1.6, _STEINMETZ, energy_at_1_T=3265.0, strength="cast iron"),
        LoopMaterial(
            "annealed carbon steel",
            1.0,
            2.0,
            "0.8 to 1 % carbon, soft annealed; remanence, coercivity: handbook tables (memory); saturation: memory",
            coercivity=1.0e3,
            strength="mild steel",
        ),
        LoopMaterial("cast steel", 1.0, 1.9, _STEINMETZ, energy_at_1_T=7033.0, strength="mild steel"),
        LoopMaterial(
            "hardened carbon steel",
            0.90,
            1.9,
            "1 % carbon, quenched; " + _HANDBOOK,
            coercivity=4.1e3,
            energy_product=1.6e3,
        ),
        LoopMaterial(
            "hardened tungsten steel",
            1.0,
            1.8,
            _STEINMETZ + "; energy product: handbook tables (memory)",
            energy_at_1_T=20095.0,
            energy_product=2.6e3,
        ),
        LoopMaterial("3.5 % chromium steel", 0.97, 1.7, _HANDBOOK, coercivity=5.2e3, energy_product=2.3e3),
        LoopMaterial("17 % cobalt steel", 0.95, 1.6, _HANDBOOK, coercivity=13.0e3, energy_product=5.2e3),
        LoopMaterial("36 % cobalt steel", 1.00, 1.6, _HANDBOOK, coercivity=19.0e3, energy_product=7.5e3),
        LoopMaterial("52Co-10V alloy", 0.89, 1.4, _HANDBOOK, coercivity=24.0e3, energy_product=8.0e3),
        LoopMaterial(
            "cast AlNiCo 5",
            1.27,
            1.45,
            _ALNICO.format("1.25-1.30 T, 48-52 kA/m"),
            coercivity=50.0e3,
            energy_product=41e3,
            strength="cast AlNiCo 5",
            oriented=True,
        ),
        LoopMaterial(
            "cast AlNiCo 8",
            0.86,
            1.15,
            _ALNICO.format("0.83-0.90 T, 110-123 kA/m"),
            coercivity=116.0e3,
            energy_product=41e3,
            strength="cast AlNiCo 8",
            oriented=True,
        ),
        LoopMaterial(
            "isotropic AlNiCo 3",
            0.62,
            1.2,
            _ISOTROPIC.format("cast grade LN10, 0.60 and 0.65 T", "same grade, of the polarisation (published)"),
            coercivity=42e3,
            energy_product=10e3,
            strength="isotropic AlNiCo 3",
        ),
        LoopMaterial(
            "isotropic AlNiCo 2",
            0.70,
            1.3,
            _ISOTROPIC.format("cast grade LNG12 and a sintered one", "43 kA/m sintered, of B 44 kA/m cast (published)"),
            coercivity=44e3,
            energy_product=12e3,
            strength="isotropic AlNiCo 2",
        ),
        LoopMaterial(
            "isotropic AlNiCo 8",
            0.58,
            1.1,
            _ISOTROPIC.format("cast grade LNGT18", "for 90 kA/m of B in the same table (published)")
            + "; that the grade is isotropic: memory",
            coercivity=96e3,
            energy_product=18e3,
            strength="cast AlNiCo 8",
        ),
        LoopMaterial(
            "isotropic FeCrCo",
            0.80,
            1.3,
            "class CrFeCo 12/4 of IEC 60404-8-1; remanence, coercivity, energy product: minima (memory); "
            "saturation: memory",
            coercivity=42e3,
            energy_product=12e3,
            strength="FeCrCo",
        ),
    )
}

KILOWATT = 1e3  # W, up to which machines have the whole share of additional load losses (IEC 60034-2-1, memory)
CANS = {  # resistivity of a can's material, ohm·m: handbook tables (memory); plastic carries no current
    "stainless steel": 0.74e-6,
    "nickel alloy": 1.25e-6,
    "plastic": 1e12,
}

MAGNETS = {
    m.name: m
    for m in (
        Magnet(
            "sintered neodymium",
            1.20,
            0.0011,
            423.15,
            "remanence, hottest: an ordinary grade of motors, letters SH, where plain ones stand 80 °C "
            "(common practice); temperature coefficient: 0.09 to 0.12 %/K in a maker's guide (published)",
        ),
        Magnet(
            "samarium cobalt",
            1.05,
            0.0004,
            573.15,
            "remanence, hottest: an ordinary sintered 2:17 grade (common practice); temperature coefficient: 0.03 "
            "to 0.05 %/K in a maker's guide (published)",
        ),
        Magnet(
            "hard ferrite",
            0.40,
            0.002,
            523.15,
            "remanence, hottest: an ordinary sintered anisotropic grade (common practice); temperature coefficient: "
            "makers' data (memory)",
        ),
    )
}

RIB_FIELD = 2.0  # T, saturated electrical sheet (common practice)
SOLID_SURFACES = {  # conductivity S/m, relative permeability at the slots' ripple (memory)
    "steel": (5e6, 500.0),
    "semi-hard ring": (2e6, 5.0),
    "magnet": (0.7e6, 1.05),
}
COPPER_HEAT_CAPACITY = 385.0  # J/(kg·K), handbook tables (memory); per volume aluminium holds a third less
CORE_DENSITY = 7700.0  # kg/m³, electrical sheet (common practice)
MACHINE_SPECIFIC_HEAT = 450.0  # J/(kg K), copper and iron together (common practice)
LOSS_FIELD, LOSS_FREQUENCY = 1.5, 50.0  # T, Hz: conditions of the loss figure in the names of EN 10106

SHEET_MAGNETISATION = {  # grade M400-50A, peaks at 50 Hz up to 32.6 kA/m; open data, BSD 3-Clause: AHaumer/AppMag,
    # rawData/RD_M400-50A.txt (published). Its last point is not measured: saturation as extrapolated there, J_sat at
    # H_sat of record M400_50A in ShowCharacteristic.mo (published).
    "H": [  # A/m
        0.0, 10.011, 20.019, 29.996, 40.043, 50.015, 60.001, 70.041, 79.950, 90.153, 100.02, 125.04, 150.75, 174.99,
        200.15, 249.42, 349.80, 500.20, 749.73, 1000.2, 1250.8, 1501.3, 1999.4, 2498.5, 4994.2, 7499.5, 9982.3,
        15039.0, 19660.0, 24012.0, 28096.0, 31507.0, 32584.0, 155318.0,
    ],
    "J": [  # T, polarisation: flux density less mu_0*H
        0.0, 0.011736, 0.028716, 0.052122, 0.083789, 0.13713, 0.25006, 0.39690, 0.53434, 0.68837, 0.81912, 1.03212,
        1.15089, 1.21926, 1.26636, 1.32261, 1.38007, 1.42283, 1.46237, 1.48822, 1.50816, 1.52464, 1.55179, 1.57443,
        1.65894, 1.72245, 1.77386, 1.85521, 1.90918, 1.94542, 1.96853, 1.98122, 1.98429, 2.02447,
    ],
}  # fmt: skip

WATER = {  # liquid at one atmosphere, textbook tables (memory)
    "T": [273.15, 283.15, 293.15, 303.15, 313.15, 323.15, 333.15, 343.15, 353.15, 363.15, 373.15],
    "lambda_f": [0.561, 0.580, 0.598, 0.615, 0.63, 0.643, 0.654, 0.663, 0.670, 0.675, 0.679],
    "nu_f": [
        1.792e-6,
        1.307e-6,
        1.004e-6,
        0.801e-6,
        0.658e-6,
        0.553e-6,
        0.474e-6,
        0.413e-6,
        0.364e-6,
        0.326e-6,
        0.294e-6,
    ],
    "rho_f": 985.0,  # kg/m³, at 60 °C
    "Pr": [13.5, 9.45, 7.01, 5.42, 4.34, 3.57, 2.99, 2.56, 2.22, 1.96, 1.75],
}
OIL = {  # a light oil of 30 mm²/s at 40 °C and 6 at 100 °C, between them as Walther has it (common practice, memory)
    "rho_f": 870.0,  # kg/m³
    "T": [273.15, 293.15, 313.15, 333.15, 353.15, 373.15, 393.15, 413.15],
    "lambda_f": [0.135, 0.134, 0.133, 0.131, 0.130, 0.129, 0.128, 0.127],
    "nu_f": [224e-6, 71e-6, 30e-6, 15.5e-6, 9.16e-6, 6.0e-6, 4.24e-6, 3.16e-6],
    "Pr": [2700.0, 884.0, 385.0, 204.0, 124.0, 83.7, 60.6, 46.4],
}
AIR = {
    "p_a": 101325.0,  # Pa, standard atmosphere
    "R_a": 287.05,  # J/(kg·K)
    "Pr": 0.71,
    "eta_0": 1.716e-5,  # Pa·s (White, memory)
    "lambda_0": 0.0241,  # W/(m·K) (White, memory)
    "T_0": 273.15,
    "T_eta": 110.4,
    "T_lambda": 194.0,
}
T_20 = 293.15


# What binds by size: strength of rotor parts, and what surrounds the copper in a slot


@dataclass(frozen=True)
class Strength:
    """What a rotating part stands: its 0.2 % proof stress, or its tensile strength where it breaks before it yields."""

    name: str
    proof_stress: float  # Pa
    density: float  # kg/m³
    poisson_ratio: float
    source: str


_SOFT = "soft, as after brazing or casting (memory)"
_BRITTLE = "brittle: tensile strength, handbook tables (memory)"
STRENGTHS = {
    s.name: s
    for s in (
        Strength("electrical sheet", 300e6, CORE_DENSITY, 0.3, "fully processed grades 280 to 450 MPa (memory)"),
        Strength("copper", 60e6, 8890.0, 0.34, _SOFT + "; hard drawn 250 MPa"),
        Strength("aluminium", 35e6, 2703.0, 0.33, "nearly pure, cast or " + _SOFT),
        Strength("brass", 120e6, 8500.0, 0.35, "CuZn37, " + _SOFT),
        Strength("cast iron", 200e6, 7200.0, 0.26, _BRITTLE),
        Strength("mild steel", 250e6, 7800.0, 0.29, "annealed or cast carbon steel 230 to 300 MPa (memory)"),
        Strength("hardened steel", 700e6, 7800.0, 0.29, "quenched, far below its strength (common practice)"),
        Strength("cast AlNiCo 5", 37e6, 7300.0, 0.3, _BRITTLE),
        Strength("cast AlNiCo 8", 69e6, 7300.0, 0.3, _BRITTLE),
        Strength("isotropic AlNiCo 2", 21e6, 7100.0, 0.3, _BRITTLE),
        Strength("isotropic AlNiCo 3", 83e6, 6900.0, 0.3, _BRITTLE),
        Strength("FeCrCo", 500e6, 7700.0, 0.3, "aged, low end of what it breaks at (memory)"),
        Strength("sintered neodymium", 80e6, 7500.0, 0.24, _BRITTLE),
        Strength("samarium cobalt", 40e6, 8300.0, 0.27, _BRITTLE),
        Strength("hard ferrite", 35e6, 4900.0, 0.28, _BRITTLE),
        Strength("carbon fibre band", 1000e6, 1600.0, 0.3, "wound round the rotor, along the fibre (common practice)"),
    )
}  # fmt: skip
BOND_STRENGTH = 10e6  # Pa, mean pull on a glued magnet (common practice)
OVERSPEED = 1.2  # of the test over the speed in service, IEC 60034-1 (memory)

ENAMEL = {"u_e": 0.170, "d_e": 0.117e-3}  # fitted to grade 1 of IEC 60317-0-1, see laws.wire.wire_copper_share
PACKING = {  # overall area of round wires over the room for them
    "square": 0.785398,  # pi/4
    "hexagonal": 0.906900,  # pi/(2*sqrt(3)): wires laid in order, the densest there is
    "random": 0.60,  # wound in at random, by hand or needle; 0.55 to 0.65 (common practice)
}
WEDGE = 0.1  # of a slot's depth: wedge and separator, 0.06 to 0.15 (common practice)
USUAL_CONDUCTORS = 40  # of a slot: 20 to 100 in standard motors for 230 and 400 V (common practice)
ETCHED = {  # flat coils made by etching or plating: few turns, a film between layers and on the slot (common practice)
    "conductors": 10,
    "film": 3e-6,  # m, 2 to 5 um of polymer
}
LINER_CONDUCTIVITY = 0.2  # W/(m K), liner with its air and resin (common practice)
SLOT_LINER = 0.25e-3  # m, 0.2 to 0.35 mm on low-voltage motors of all sizes (common practice)

# Heat inside a machine

RESIN_CONDUCTIVITY = 0.2  # W/(m K), enamel, resin and what voids they leave; unfilled epoxy 0.19 (memory)
SHEET_CONDUCTIVITY = 28.0  # W/(m K) along electrical sheet; 20 with much silicon to 45 with little (memory)
SHAFT_CONDUCTIVITY = 45.0  # W/(m K), carbon steel (memory)
SHAFT_RATIO = 0.3  # shaft over rotor diameter, 0.25 to 0.4 (common practice)
SEAT_FILM = {"t_b": 0.03e-3, "D_1": 0.1}  # m of air, core pressed into its frame; 0.01 to 0.08 mm (common practice)
THINNEST_LINER = 10e-6  # m, sheets coated with plastic (common practice)
LINER_SHARE = 0.1  # liner over slot width where the usual liner would take too much (common practice)
INNER_AIR = {"h_i": 15.5, "v_i": 1 / 0.29}  # W/(m² K), m/s, see laws.thermal.inner_coefficient (memory)
FRAME_HEAT_CAPACITY = 2.8e6  # J/(m³ K), between aluminium and cast iron (memory)
FRAME_CONDUCTIVITY = 150.0  # W/(m K), cast aluminium 110 to 170; cast iron 50 (memory)
FRAME_WALL_RATIO = 0.03  # wall of the frame over the core's outside diameter (common practice)
CORE_HEAT_CAPACITY = 460.0  # J/(kg K), iron (memory)
CONDUCTOR_HEAT_CAPACITY = {"copper": COPPER_HEAT_CAPACITY, "aluminium": 900.0, "brass": 380.0}  # J/(kg K) (memory)
MELTING_POINT = {"copper": 1358.0, "aluminium": 933.0, "brass": 1170.0}  # K, handbook tables (memory)
