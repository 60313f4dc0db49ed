"""The motion of a synchronous rotor switched to a fixed supply: from rest into step, or not; arrays of cases broadcast.

Let psi be the phase of the torque, which swings n times as the rotor falls a turn behind the field (n = 1 for a magnet,
2 for a reluctance rotor), s the slip, u = n*omega*t. Torques are counted in the largest synchronous torque:

    dpsi/du = s,    ds/du = Pi/n * (load + viscous*(1 - s) + friction*sign(1 - s) - sin(psi) - cage(s))

so the pull-in number Pi and n count as Pi/n alone. The load pulls one way at any speed, as a weight does; friction
resists either way and holds a rotor at rest; the cage gives cage*s/(1 + (s/breakdown_slip)**2).
"""

from typing import NamedTuple

import numpy as np

STEPS = 64  # steps of Runge and Kutta's fourth-order rule for each 2*pi of the fastest motion
SWINGS = 500  # swings of the torque after which a rotor neither caught nor lost counts as lost
SLOWER = 1e-5  # share of its slip that a rotor must lose from one swing to the next not to be lost


class Motion(NamedTuple):
    """A run: periods of the supply since switching on, torque phase psi [rad], rotor speed over synchronous speed."""

    periods: np.ndarray
    phase: np.ndarray
    speed: np.ndarray


def simulate(number, n, phase, *, load=0.0, friction=0.0, viscous=0.0, cage=0.0, breakdown_slip=np.inf, periods=10.0):
    """Return the Motion from rest at a starting phase [rad], steps along the first axis; for pictures and tests.

    ``number`` is the pull-in number Pi, ``n`` as above. All cases take as many steps as the fastest needs; one that
    stops or starts has its clock behind by what is left of that step.
    """
    case, shape = _cases(number, n, phase, load, friction, viscous, cage, breakdown_slip)
    case["step"] = np.full(case["step"].shape, np.min(case["step"]))
    steps = int(np.ceil(np.max(2 * np.pi * np.asarray(n) * periods) / case["step"][0]))
    run = np.empty((3, steps + 1, *case["step"].shape))
    psi, s, u = case["psi"], np.ones(run.shape[2:]), np.zeros(run.shape[2:])
    for i in range(steps + 1):
        run[:, i] = u, psi, s
        psi, s, part = _advance(case, psi, s)
        u = u + part * case["step"]
    u, psi, s = run.reshape(3, steps + 1, *shape)
    return Motion(u / (2 * np.pi * np.asarray(n)), psi, 1 - s)


def caught(number, n, phase, *, load=0.0, friction=0.0, viscous=0.0, cage=0.0, breakdown_slip=np.inf, slip=1.0):
    """Tell whether rotors at a starting phase [rad] are caught by the field, at once or after many swings.

    They begin at rest, or at the ``slip`` to which something else has run them up. Energy in the field's frame never
    grows: a rotor below the top of its potential well stays in it. One that passes one top no slower than the top
    before passes them all.
    """
    case, shape = _cases(number, n, phase, load, friction, viscous, cage, breakdown_slip)
    result = np.zeros(case["K"].size, dtype=bool)
    with np.errstate(invalid="ignore"):
        case["top"] = np.pi - np.arcsin(case["held"])  # NaN where the field cannot hold the rotor at all
    case["barrier"] = _potential(case, case["top"])
    case["psi"] = np.mod(case["psi"] - case["top"], 2 * np.pi) + case["top"] - 2 * np.pi  # in the well before that top
    begin = np.broadcast_to(np.asarray(slip, dtype=float), shape).ravel()
    case |= {"place": np.arange(result.size), "s": begin, "swings": np.zeros(result.size)}
    case["before"] = np.full(result.size, np.inf)
    going = np.isfinite(case["psi"])
    while np.any(going):
        if np.mean(going) < 0.9:
            case, going = {name: value[going] for name, value in case.items()}, going[going]
        case["psi"], case["s"], _ = _advance(case, case["psi"], case["s"])
        over = case["psi"] > case["top"]
        case["psi"] = np.where(over, case["psi"] - 2 * np.pi, case["psi"])
        case["swings"] = case["swings"] + over
        lost = over & ((case["s"] >= case["before"] * (1 - SLOWER)) | (case["swings"] > SWINGS))
        case["before"] = np.where(over, case["s"], case["before"])
        inside = ~over & (case["s"] ** 2 / 2 + _potential(case, case["psi"]) < case["barrier"])
        result[case["place"][going & inside]] = True
        going = going & ~lost & ~inside
    return result.reshape(shape)


def caught_share(number, n, *, starts=64, **torques):
    """Return the share of evenly spread starting phases from which the rotor is caught; torques as :func:`caught`."""
    phase = (np.arange(starts) + 0.5) * 2 * np.pi / starts
    number, n = np.asarray(number, dtype=float)[..., None], np.asarray(n, dtype=float)[..., None]
    torques = {name: np.asarray(value, dtype=float)[..., None] for name, value in torques.items()}
    return np.mean(caught(number, n, phase, **torques), axis=-1)


def _cases(number, n, phase, load, friction, viscous, cage, breakdown_slip):
    """Return the cases as a dictionary of flat arrays, and their broadcast shape."""
    given = {"K": np.asarray(number, dtype=float) / n, "psi": phase, "load": load, "friction": friction}
    given |= {"viscous": viscous, "cage": cage, "narrow": 1 / np.asarray(breakdown_slip, dtype=float)}
    spread = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in given.values()))
    case = {name: value.ravel() for name, value in zip(given, spread, strict=True)}
    case["held"] = case["load"] + case["friction"] + case["viscous"]
    fastest = np.maximum(np.sqrt(case["K"]), case["K"] * (case["viscous"] + case["cage"]))
    case["step"] = 2 * np.pi / STEPS / np.maximum(1.0, fastest)
    return case, spread[0].shape


def _potential(case, psi):
    """Return the potential of a forward turning rotor in the field's frame."""
    return -case["K"] * (np.cos(psi) + case["held"] * psi)


def _advance(case, psi, s):
    """Return phase and slip a step later, and the share of the step taken: to where a rotor stops or starts."""
    K, h, friction, rests = case["K"], case["step"], case["friction"], s == 1.0

    def drive(psi, s):
        cage = case["cage"] * s / (1 + (case["narrow"] * s) ** 2)
        return np.sin(psi) + cage - case["load"] - case["viscous"] * (1 - s)

    forward = np.sign(np.where(rests, drive(psi, s), 1 - s))

    def slope(psi, s):
        return K * (friction * forward - drive(psi, s))

    k1 = slope(psi, s)
    k2 = slope(psi + h / 2 * s, s + h / 2 * k1)
    k3 = slope(psi + h / 2 * (s + h / 2 * k1), s + h / 2 * k2)
    k4 = slope(psi + h * (s + h / 2 * k2), s + h * k3)
    ahead = psi + h * s + h**2 / 6 * (k1 + k2 + k3)
    new = s + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    part, before = np.ones(s.shape), drive(psi, s)
    held = (friction > 0) & rests & (np.abs(before) < friction * (1 - 1e-9))
    stops = (friction > 0) & ~rests & ((1 - new) * forward <= 0)
    if np.any(held):  # the phase runs on with the supply until the field's torque overcomes the friction
        rise = drive(psi + h, s) - before
        short = (np.copysign(friction, rise) - before) / np.where(rise == 0, 1.0, rise)
        part = np.where(held & (rise != 0), np.minimum(short, 1.0), part)
        ahead = np.where(held, psi + h * part, ahead)
    if np.any(stops):  # within the step the slip is a parabola; where it is 1 the rotor rests
        bend, over = new - s - h * k1, 1 - s
        root = np.sqrt(np.maximum((h * k1) ** 2 + 4 * bend * over, 0.0))
        slant = h * k1 + np.copysign(root, over)
        part = np.where(stops, np.clip(2 * over / np.where(slant == 0, 1.0, slant), 0.0, 1.0), part)
        ahead = np.where(stops, psi + h * part * (s + h * k1 * part / 2 + bend * part**2 / 3), ahead)
    return ahead, np.where(held | stops, 1.0, new), part
