"""Fields of a brief on the stator: what its iron carries, its slots, its wire, its ends."""

from dataclasses import dataclass

from scaling.decision.fields import given, one_of
from scaling.ground import materials
from scaling.ground.units import Given


@dataclass(frozen=True, kw_only=True)
class StatorAsMade:
    """What the stator is made of and how; see `scaling.decision.brief.Brief`."""

    gap_field_limit: Given = given(
        "flux density", None, "largest peak in the gap; what teeth and yoke allow if not given", low=1e-6, optional=True
    )
    tooth_field_limit: Given = given("flux density", "1.8 T", "largest peak flux density in the teeth", low=1e-6)
    yoke_field_limit: Given = given("flux density", "1.5 T", "largest peak flux density in the yoke", low=1e-6)
    slot_depth_ratio: Given = given(
        "ratio",
        None,
        "slot depth over rotor diameter; if not given 0.15, in a given outside_diameter the best",
        high=1.0,
        optional=True,
    )
    winding: str = one_of(
        "wound",
        ("wound", "etched"),
        "round wire wound at random, or flat coils etched or plated, of very small machines",
    )
    slot_fill: Given = given(
        "ratio",
        None,
        "copper over the area of the slots; what liner, wedge, enamel and packing leave if not given, about 0.3 in "
        "rotors of 20 mm, 0.45 above 100 mm",
        high=0.907,
        optional=True,
    )
    conductors_per_slot: Given = given(
        "positive integer",
        None,
        "conductors of one wire; if not given 40 as is usual, fewer where they would be finer than thinnest_wire, "
        "strands in parallel where thicker than thickest_wire; etched 10, or as many as etched_space allows",
        optional=True,
    )
    slot_liner: Given = given(
        "length",
        None,
        "insulation between wires and slot; if not given a tenth of its width, from 10 um to 0.25 mm; etched 3 um",
        optional=True,
    )
    wire_packing: Given = given(
        "ratio", 0.6, "wires with their enamel over the room in the slot; 0.55 to 0.65 wound at random", high=0.907
    )
    thinnest_wire: Given = given("length", "20 um", "finest conductor of a wire that can be wound")
    thickest_wire: Given = given(
        "length",
        "1.5 mm",
        "thickest wire over its enamel that is wound, where conductors_per_slot is not given; common practice, thinner "
        "at high frequency",
    )
    etched_space: Given = given(
        "length", "10 um", "least space between the lines of an etched winding, and least line; 5 to 20 um"
    )
    tooth_share: Given = given(
        "ratio",
        None,
        "tooth share of the slot layer; if not given 0.5, in a given outside_diameter the best",
        high=1.0,
        optional=True,
    )
    slot_opening_ratio: Given = given("ratio", 0.25, "slot opening over slot pitch", high=0.9)
    slots_per_pole_and_phase: Given = given(
        "positive integer", 2, "stator slots; one where two would be finer than the floor", high=12
    )
    slot_pitch_floor: Given = given(
        "length", "200 um", "finest slot pitch that can be cut and wound; bounds the poles of small machines"
    )
    outside_ratio: Given = given(
        "ratio",
        None,
        "outside diameter over bore diameter; 1.7 if neither it nor outside_diameter is given",
        low=1.0,
        high=10.0,
        optional=True,
    )
    end_turn_ratio: Given = given("ratio", 1.5, "end turn length over pole pitch", zero=True, high=10.0)
    end_overhang_ratio: Given = given(
        "ratio", 0.3, "how far the end winding stands out of the core on a side, over pole pitch", zero=True, high=2.0
    )
    end_clearance_ratio: Given = given(
        "ratio", 0.05, "what is added to that for its straight piece, over rotor diameter", zero=True, high=1.0
    )
    stacking_factor: Given = given(
        "ratio", 0.96, "iron over length of laminated cores; 0.95 to 0.97", low=0.1, high=1.0
    )
    end_leakage: Given = given(
        "ratio", 0.4, "leakage permeance of the end winding over mu_0 and its length; 0.3 to 0.5", zero=True, high=5.0
    )
    winding_factor: Given = given("ratio", 0.95, "winding factor of the fundamental", low=0.05, high=1.0)
    conductor: str = one_of("copper", materials.CONDUCTORS, "winding material")
    core_loss: Given = given(
        "specific loss", "4 W/kg", "lamination's loss at 1.5 T, 50 Hz; grade M400-50A of EN 10106 by its name"
    )
    additional_loss: Given = given(
        "ratio",
        None,
        "additional load losses over the power across the gap, where the winding has all the heat; if not given 0.025 "
        "up to 1 kW, falling to 0.005 at 10 MW (IEC 60034-2-1, from memory)",
        zero=True,
        high=0.2,
        optional=True,
    )
    can: str = one_of("stainless steel", materials.CANS, "what the can over the bore is made of, if there is one")
    can_thickness: Given = given(
        "length",
        None,
        "can over the stator's bore, beside the clearance: 0.3 to 0.5 mm of steel; none if not given",
        optional=True,
    )
    gap_fluid: str = one_of("air", ("air", "water", "oil"), "what fills the gap; oil: light, of 30 mm²/s at 40 °C")
    core_building_factor: Given = given(
        "ratio", 1.7, "core loss in the machine over that of the sheet", low=1.0, high=10.0
    )
