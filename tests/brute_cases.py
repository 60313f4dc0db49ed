"""Briefs for the optimum against the dense search: each of the rotors' free measures inside and at both ends.

Kind, size, merit, what the brief says, and a limit that must be active where one surely is. In the remarks a measure
stands at the end named, or inside its range.
"""

DRIVE = {"supply_frequency": ("20 Hz", "400 Hz")}
WATER = {"cooling": "water"}
SHEET = {"induction_rotor": "sheet"}
SALIENT, BARRED = {"reluctance_rotor": "salient"}, {"reluctance_rotor": "flux barriers"}
SINGLE = {"supply": "single-phase", "turning_share": 0.5}
TEETH = {"tooth_share": 0.85, "outside_ratio": 3.0, "slot_depth_ratio": 0.1}
FINE = {"rib_floor": "50 um", "rib_ratio": 0.001, "gap_ratio": 0.03}
START = {"self_starting": True, "load_at_start": 2.0}
TORQUE, MASS, POWER = "torque per volume", "torque per mass", "power per volume"
ROOT, EFFICIENCY, SMALL_DRIVE = "torque per root watt", "efficiency", "power per volt-ampere"

CAGES = [
    ("induction", "20 mm", TORQUE, {}, "temperature rise"),  # depth, share, opening inside; reserve holds
    ("induction", "2 mm", POWER, {}, "temperature rise"),  # deepest, largest share, narrowest opening
    ("induction", "400 mm", TORQUE, WATER, None),  # shallowest, open slots, narrowest rings; reserve holds
    ("induction", "120 mm", POWER, WATER, None),  # shallow inside, open slots
    ("induction", "100 mm", TORQUE, {**WATER, **TEETH, "pole_pairs": 4}, "rotor teeth"),  # least share of bars
    ("induction", "30 mm", MASS, DRIVE, "temperature rise"),  # rings inside; large slip
    ("induction", "1 m", EFFICIENCY, {}, None),  # share near its largest
    ("induction", "120 mm", SMALL_DRIVE, {}, None),  # all inside but rings
    ("induction", "60 mm", TORQUE, {"pull_out_reserve": 3.0}, "temperature rise"),
    ("induction", "20 mm", TORQUE, {"slip_limit": 0.03}, "slip limit"),
    ("induction", "100 mm", TORQUE, {"bar_share": 0.5, "rotor_slot_opening_ratio": 0.02}, "temperature rise"),
    ("induction", "100 mm", TORQUE, {"end_overhang_ratio": 0.6, "pole_pairs": 1}, None),
    ("induction", "100 mm", MASS, {"end_overhang_ratio": 0.0, "end_clearance_ratio": 0.02}, "temperature rise"),
    ("induction", "100 mm", EFFICIENCY, {"end_ring_ratio": 0.03, "stacking_factor": 0.9}, None),
    ("induction", "20 mm", TORQUE, {**DRIVE, "speed": "1450 rpm"}, "temperature rise"),
    ("induction", "350 mm", EFFICIENCY, {**DRIVE, "speed": "600 rpm"}, None),
    ("induction", "60 mm", EFFICIENCY, {**START, "torque": "0.5 N*m"}, None),  # current at rest
    ("induction", "20 mm", TORQUE, SINGLE, "temperature rise"),
    ("induction", "100 mm", MASS, {**SHEET, **DRIVE}, "temperature rise"),
    ("induction", "20 mm", EFFICIENCY, SHEET, None),
]
OTHERS = [
    ("reluctance", "20 mm", TORQUE, {}, "temperature rise"),  # salient, arc inside; reserve holds
    ("reluctance", "60 mm", SMALL_DRIVE, {**DRIVE, **SALIENT}, None),  # least arc
    ("reluctance", "3 mm", TORQUE, {**SALIENT, "gap_ratio": 0.04}, "temperature rise"),
    ("reluctance", "30 mm", TORQUE, BARRED, "temperature rise"),  # six barriers of the least share; reserve holds
    ("reluctance", "16 mm", TORQUE, {**BARRED, "slot_fill": 0.4}, "temperature rise"),  # three barriers
    ("reluctance", "400 mm", EFFICIENCY, {**BARRED, **DRIVE}, None),  # share inside
    ("reluctance", "100 mm", SMALL_DRIVE, {**BARRED, **DRIVE, **FINE}, None),  # largest share of barriers
    (
        "reluctance",
        "20 mm",
        TORQUE,
        {**BARRED, "rib_floor": "0.5 mm", "pole_pairs": 2, "slot_fill": 0.4},
        "temperature rise",
    ),  # two
    ("reluctance", "200 mm", POWER, {**BARRED, **DRIVE, **WATER}, None),  # segments and teeth both full
    ("reluctance", "200 mm", TORQUE, {**BARRED, "pull_out_reserve": 2.5}, "temperature rise"),
    ("reluctance", "100 mm", TORQUE, {"barriers": 3, "barrier_share": 0.4, "pole_arc": 0.5}, "temperature rise"),
    ("reluctance", "60 mm", POWER, {**DRIVE, "speed": "3000 rpm"}, "temperature rise"),
    ("reluctance", "60 mm", TORQUE, {**SALIENT, **SINGLE}, None),
    ("magnet", "100 mm", TORQUE, {}, "temperature rise"),  # a weaker grade
    ("magnet", "100 mm", TORQUE, {"pull_out_reserve": 1.0}, None),  # the whole grade
    ("magnet", "60 mm", TORQUE, {**DRIVE, "pole_pairs": 1}, None),  # rotor core
    ("magnet", "40 mm", POWER, {**DRIVE, **WATER, "stacking_factor": 0.8}, None),
    ("magnet", "60 mm", SMALL_DRIVE, {**DRIVE, "speed": "3000 rpm"}, "temperature rise"),
    ("magnet", "60 mm", TORQUE, SINGLE, None),
    ("induction", "30 mm", TORQUE, {"supply": "single-phase", "shaded_share": 0.4}, None),
    ("hysteresis", "30 mm", EFFICIENCY, {"supply": "single-phase", "shaded_share": 0.4}, None),
    ("hysteresis", "60 mm", TORQUE, {}, "temperature rise"),
    ("hysteresis", "60 mm", TORQUE, {"pull_out_reserve": 2.0}, "temperature rise"),
    ("hysteresis", "20 mm", TORQUE, {**WATER, "oriented_rings": True, "coolant_speed": "5 m/s"}, None),
    ("hysteresis", "60 mm", EFFICIENCY, DRIVE, None),
    ("hysteresis", "60 mm", MASS, {"rotor_surface": "laminated"}, "temperature rise"),
]
CASES = CAGES + OTHERS
