"""Fields of a brief on the rotor: its layer, its material, its bearings, what its parts stand."""

from dataclasses import dataclass

from scaling.decision.fields import given, one_of, yes_no
from scaling.ground import materials
from scaling.ground.units import Given

_ROTOR_MATERIALS = ("best", *materials.CONDUCTORS, *materials.LOOP_MATERIALS)


@dataclass(frozen=True, kw_only=True)
class RotorAsMade:
    """What the rotor is made of and how it is borne; see `scaling.decision.brief.Brief`."""

    rim_speed_limit: Given = given(
        "linear speed", "100 m/s", "largest rim speed; laminated or cage rotors without a sleeve"
    )
    end_ring_ratio: Given = given(
        "ratio", 0.2, "widest end ring of a cage over rotor diameter; never wider than the end winding stands out"
    )
    rotor_depth_ratio: Given = given(
        "ratio",
        0.2,
        "deepest active rotor layer (bars, ring, magnet, interpolar space) over diameter; what is best is searched",
        high=0.4,
    )
    bar_share: Given = given(
        "ratio", None, "share of the bars in a cage's layer; the best if not given", high=0.95, optional=True
    )
    rotor_slot_opening_ratio: Given = given(
        "ratio",
        None,
        "opening of a cage's slots over their pitch; the best if not given, from a quarter of slot_pitch_floor on",
        high=0.95,
        optional=True,
    )
    pole_arc: Given = given(
        "ratio",
        None,
        "pole arc of a reluctance rotor over its pole pitch; the best of 0.3 to 0.7 if not given",
        low=0.2,
        high=0.95,
        optional=True,
    )
    reluctance_rotor: str = one_of(
        "best", ("best", "salient", "flux barriers"), "plain salient poles, a rotor cut by flux barriers, or the better"
    )
    barriers: Given = given(
        "positive integer", 6, "most flux barriers per pole; as many as can be cut are best", high=20
    )
    barrier_share: Given = given(
        "ratio",
        None,
        "barrier share of the rotor's depth, the rest is iron; the best of 0.2 to 0.65 if not given",
        high=0.9,
        optional=True,
    )
    rib_floor: Given = given(
        "length",
        "0.3 mm",
        "thinnest rib, segment or barrier that can be cut; about the sheet's thickness, etched 0.1 mm",
    )
    rib_ratio: Given = given(
        "ratio",
        0.005,
        "thickness of ribs, and of the tips of teeth, over rotor diameter where the floor does not bind: strength",
        zero=True,
        high=0.1,
    )
    magnet_arc: Given = given("ratio", 0.8, "largest magnet arc over its pole pitch", high=1.0)
    rotor_surface: str = one_of(
        "usual",
        ("usual", "laminated", "solid"),
        "solid surfaces are heated and braked by the ripple of open slots; usual: rings and magnets are solid",
    )
    rotor_material: str = one_of(
        "best", _ROTOR_MATERIALS, "rotor material, for the types it can serve; the others choose"
    )
    oriented_rings: bool = yes_no(
        False, "whether rings may be of grades oriented along one direction: a turning field sees less"
    )
    magnet: str = one_of("sintered neodymium", materials.MAGNETS, "magnet of the yardstick")
    induction_rotor: str = one_of(
        "cage", ("cage", "sheet"), "cage in iron slots, or plain sheet (drag cup) on smooth iron"
    )
    bearing: str | None = one_of(
        None, ("plain", "ball"), "kind of bearing; balls from a bore of 1 mm on, plain below, if not given"
    )
    bearing_friction: Given = given(
        "ratio",
        None,
        "friction coefficient at the bearing's radius: plain at rest 0.1, ball 0.0015, by kind if not given",
        zero=True,
        high=1.0,
        optional=True,
    )
    bearing_diameter_ratio: Given = given("ratio", 0.15, "bearing diameter over rotor diameter", zero=True, high=1.0)
    bearing_length_ratio: Given = given("ratio", 0.5, "plain bearing: length over diameter", low=0.1, high=2.0)
    bearing_clearance_ratio: Given = given(
        "ratio",
        0.001,
        "plain bearing: radial clearance over radius where the floor does not bind",
        low=1e-4,
        high=0.2,
    )
    bearing_clearance_floor: Given = given(
        "length", "2 um", "smallest radial clearance of a plain bearing that can be made"
    )
    lubricant_viscosity: Given = given("viscosity", "20 mPa*s", "viscosity of the oil at work")
    eccentricity: Given = given(
        "ratio",
        0.1,
        "displacement of the rotor over the gap, whose side pull the bearings carry; 0.1 is usual, 0.2 poor",
        zero=True,
        high=0.5,
    )
    overspeed: Given = given(
        "ratio", 1.2, "overspeed that rotor parts must stand over the speed in service", low=1.0, high=3.0
    )
    sleeved: bool = yes_no(False, "whether a sleeve holds the rotor's parts, so that rim_speed_limit alone counts")
