"""Operation, not only rating: does the chosen design start, does it run up, does it hold its load."""

from dataclasses import dataclass

import numpy as np

from scaling.decision.curve import NEARLY, Capture, Curve, Point, PullIn, RunUp
from scaling.ground import messages, units

BEYOND = 0.05  # of the synchronous speed: how far past it the curve goes, at most to the breakdown of the generator


@dataclass(frozen=True)
class Running:
    """How a design starts, runs up and holds; quantities but for ``current``, a ratio to the continuous one.

    ``speed``, ``torque`` (at the shaft, friction deducted), ``load`` and ``current`` are arrays from rest to a little
    beyond ``synchronous_speed``. ``points`` has "start", "pull-up" (where there is one), "pull-out" and "running"
    (where the load is held). ``overload`` is pull-out torque over the load asked for, or rated; ``pull_in``,
    ``capture`` (of a starting cage) and ``run_up`` are None where they do not apply; ``verdicts`` says it all in words,
    ``assumed`` what was taken for granted.
    """

    kind: str
    fixed_supply: bool
    speed: units.Quantity
    torque: units.Quantity
    load: units.Quantity
    current: np.ndarray
    synchronous_speed: units.Quantity
    points: dict
    starts: bool
    holds: bool
    overload: float
    pull_in: PullIn | None
    capture: Capture | None
    run_up: RunUp | None
    verdicts: tuple
    assumed: str


def running(choice, kind, *, load_power=2.0):
    """Return how the design of one kind in a choice starts, runs up and holds its load.

    The load at the design's speed is the brief's ``torque``, or the design's own; at rest it is the brief's
    ``starting_torque``, or none; between them it rises with a power of the speed, above it stays.

    Parameters
    ----------
    choice : Choice
        of ``choose(brief)``
    kind : str
        "induction", "hysteresis", "reluctance" or "magnet"
    load_power : float
        0 a hoist, which loads the shaft fully from rest; 1 a friction in oil; 2 a fan or pump

    Returns
    -------
    Running

    Raises
    ------
    TypeError, KeyError
        if ``choice`` is not a Choice; if ``kind`` is no machine type
    ValueError
        if the design has no running point with torque to spare; if ``load_power`` is not from 0 to 5

    Validity
    --------
    Mean torque, slow against the supply: no swings of torque at switching on, no harmonics of the winding. An induction
    rotor's field limit holds at every speed. Temperature as when running.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> made = choose(Brief(rotor_diameter="110 mm", cooling="shaft fan"))
    >>> found = running(made, "induction")
    >>> found.starts, found.holds, list(found.points)
    (True, True, ['start', 'pull-out', 'running'])
    """
    if isinstance(load_power, bool) or not isinstance(load_power, (int, float)) or not 0 <= load_power <= 5:
        raise ValueError(f"load_power: got {messages.shorten(load_power)}; expected a number from 0 to 5")
    curve = Curve(choice, kind, float(load_power))
    pull_in, held, up = curve.pull_in(), curve.held_speed(), curve.pull_up()
    pull_out = (1.0 - curve.breakdown) * curve.synchronous
    points = {"start": curve.point(0.0)}
    if up is not None:
        points["pull-up"] = curve.point(up)
    points["pull-out"] = curve.point(pull_out)
    end = NEARLY * (pull_out if held is None else held)
    capture = curve.capture()
    swings = pull_in is not None and curve.fixed and capture is None
    caught = pull_in is None or pull_in.number >= pull_in.need
    if capture is not None:
        end = min(end, capture.speed.magnitude)
        caught = caught or capture.number >= 1.0
    stall = None if swings else curve.stall_speed(end)
    if held is not None:
        load = float(curve.load(held))
        points["running"] = Point(units.quantity(held, "rad/s"), units.quantity(load, "N*m"))
    steps = np.geomspace(1e-4, 1.0, 240)
    beyond = min(BEYOND, curve.breakdown or BEYOND)
    slip = np.concatenate([steps[::-1], [0.0], -steps[steps < beyond]])
    speed = (1.0 - slip) * curve.synchronous
    speed[slip == 0.0] = curve.synchronous
    found = {
        "kind": kind,
        "fixed_supply": curve.fixed,
        "speed": units.quantity(speed, "rad/s"),
        "torque": units.quantity(curve.torque(speed), "N*m"),
        "load": units.quantity(curve.load(speed), "N*m"),
        "current": curve.at_slip(curve.slip(speed))[1],
        "synchronous_speed": units.quantity(float(curve.synchronous), "rad/s"),
        "points": points,
        "starts": bool(caught and stall is None),
        "holds": held is not None,
        "overload": float(curve.torque(pull_out) / curve.asked),
        "pull_in": pull_in,
        "capture": capture,
        "run_up": None if swings or not caught or stall is not None or end <= 0.0 else curve.run_up(end),
    }
    said = _start_sentence(curve, found, stall), _hold_sentence(curve, found), _run_up_sentence(found)
    return Running(**found, verdicts=tuple(word for word in said if word), assumed=_assumed(curve))


def _start_sentence(curve, found, stall):
    """Return the sentence on the start."""
    pull_in, capture = found["pull_in"], found["capture"]
    if pull_in is not None and capture is None:
        where = "" if curve.fixed else " at the drive's lowest frequency"
        told = f"pull-in number {pull_in.number:.3g}{where}, the best starting angle needs {pull_in.need:.3g}"
        mean = "Its mean torque below synchronism is zero, and " if curve.fixed else "It must fall into step, and "
        if pull_in.number < pull_in.need:
            return f"Does not start: {mean.lower()}the field does not catch it from rest: {told}."
        every = pull_in.number >= pull_in.certain
        angles = "every angle, in the end" if every else f"some angles only; every angle needs {pull_in.certain:.3g}"
        took = f"; at the best angle it reaches the field's speed in {units.show(pull_in.time, digits=2)}"
        if stall is None:
            return f"Starts: {mean.lower()}the field catches it from {angles} ({told}){took}."
    start = found["points"]["start"].torque
    drawn = float(curve.at_slip(np.array(1.0))[1])
    told = units.show(start, digits=3)
    if curve.fixed and (not curve.rotor.synchronous or capture is not None):
        told += f" at {drawn:.2g} times the continuous current"
    load = f"a load of {units.show_si(float(curve.load(0.0)), 'N*m')}" if curve.load(0.0) > 0.0 else "friction alone"
    if stall == 0.0:
        return f"Does not start: its torque at rest, {told}, does not move {load}."
    if stall is not None:
        return f"Starts but does not run up: it hangs at {units.show_si(stall, 'rad/s')}, where the load takes all."
    if capture is None:
        return f"Starts: {told} at rest against {load}."
    number = f"the capture number is {capture.number:.3g}"
    if not found["starts"]:
        return (
            f"Starts but does not fall into step: its cage gives {told} at rest against {load}, but {number}, below 1."
        )
    return (
        f"Starts: its cage gives {told} at rest against {load}, and the field catches it from about "
        f"{units.show(capture.speed)} on ({number})."
    )


def _hold_sentence(curve, found):
    """Return the sentence on pull-out."""
    out, load = found["points"]["pull-out"], units.show_si(curve.asked, "N*m")
    if not found["holds"]:
        return f"Does not hold: its pull-out torque is {found['overload']:.3g} times the load of {load}."
    running = found["points"]["running"]
    spare = "nothing in hand" if found["overload"] < 1.005 else f"pull-out at {found['overload']:.3g} times the load"
    where = f"{units.show(out.torque, digits=3)} at {units.show(out.speed)}"
    return f"Holds {units.show(running.torque)} at {units.show(running.speed)}: {spare} ({where})."


def _run_up_sentence(found):
    """Return the sentence on the run-up."""
    if found["run_up"] is None:
        return ""
    made = {name: units.show(getattr(found["run_up"], name), digits=3) for name in ("time", "rotor_heat", "rotor_rise")}
    reached = NEARLY
    if found["capture"] is not None:
        reached = min(NEARLY, (found["capture"].speed / found["synchronous_speed"]).magnitude)
    return (
        f"Runs up to {reached:.0%} of its speed in {made['time']}, with {made['rotor_heat']} of heat in the rotor: "
        f"{made['rotor_rise']} if none is passed on."
    )


def _assumed(curve):
    """Return what the torque curve takes for granted."""
    if curve.fixed:
        if not curve.rotor.synchronous:
            return (
                "Fixed voltage, that of the running point: the current rises with slip as far as resistance, gap, "
                "rotor and leakage let it. Tooth tips saturate, slots and end turns do not."
            )
        if curve.made.has_cage:
            return (
                "Fixed voltage, that of the running point: out of step the torque is the mean of the starting cage's; "
                "what swings as the rotor falls behind the field is left out, but for the capture."
            )
        if not curve.rotor.starts_by_pull_in:
            return "Continuous current at every speed; below synchronism the torque does not depend on speed."
        return (
            "Fixed voltage, that of the running point: in step up to the pull-out torque of constant reactances; out "
            "of step the torque only swings and its mean is zero (no cage)."
        )
    if not curve.rotor.synchronous:
        return (
            "Continuous current; the drive sets the slip frequency of the largest torque, as far as its lowest "
            "frequency and the design's, its highest, let it."
        )
    return "Continuous current; the drive's frequency follows the rotor, up to the design's."
