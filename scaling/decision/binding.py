"""What binds: for every size, what each input moves, and the limit whose relaxation would help a type most."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.decision import reasons
from scaling.decision.brief import Brief
from scaling.decision.choose import check
from scaling.decision.limits import LIMITS
from scaling.decision.optimum import best_designs
from scaling.decision.sweep import read_sizes
from scaling.ground import messages, units
from scaling.ground.rounds import Progress, rounds
from scaling.machines import ROTORS
from scaling.machines.winding import without_effect

STEP = 0.02  # of an input, up and down: the searches' error of 1e-5 in merit is then a thousandth of an elasticity of 1
RELAXED = {name: limit.relaxed_by for name, limit in LIMITS.items() if limit.relaxed_by}  # what can be relaxed
FIELDS = tuple(field for fields in RELAXED.values() for field in fields)
NOTHING = "nothing"


@dataclass(frozen=True)
class Binding:
    """What binds along the sizes, for every type, brief met or not.

    ``elasticity[kind][field]`` is d ln(merit)/d ln(field) along ``rotor_diameters``, all else at its best again;
    ``limits[kind]`` names the limits active at each size; ``binds[kind]`` names the one of RELAXED whose relaxation
    raises merit most ("nothing" where none does, "friction" where it leaves no torque), ``gain[kind]`` by how much,
    as an elasticity.
    """

    merit: str
    rotor_diameters: units.Quantity
    elasticity: dict
    limits: dict
    binds: dict
    gain: dict

    @property
    def kinds(self):
        """The types of machine."""
        return tuple(self.binds)


def binding(
    brief: Brief,
    rotor_diameters: Any,
    merit: str = "torque per volume",
    fields: Sequence[str] = FIELDS,
    progress: Progress | None = None,
) -> Binding:
    """Return what binds each type at every size, and what merit answers to each input.

    Elasticities are differences of whole searches, a few per cent of the input apart: where merit has a kink in
    an input, they are the mean of both sides.

    Parameters
    ----------
    brief : Brief
    rotor_diameters : Pint quantity holding an array, or sequence of strings or quantities
        as in ``sweep``
    merit : str
        as in ``choose``
    fields : sequence of str
        further numbers of the brief, beside those that state limits; a pair moves as a whole
    progress : callable, optional
        called as ``progress(done, total)``, after every type

    Returns
    -------
    Binding

    Raises
    ------
    TypeError, ValueError
        as ``sweep``; for a field that is no number above zero in this brief

    Examples
    --------
    >>> from scaling import Brief
    >>> found = binding(Brief(rotor_diameter="20 mm", gap_floor="20 um"), ["2 mm", "20 mm", "200 mm"])
    >>> [str(name) for name in found.binds["hysteresis"]]
    ['pull-out reserve', 'pull-out reserve', 'temperature rise']
    """
    check(brief, merit, "binding")
    sizes = read_sizes(rotor_diameters)
    moved = [field for field in dict.fromkeys((*FIELDS, *fields)) if field in FIELDS or _number(brief, field)]
    moved = [field for field in moved if _number(brief, field, refuse=False) or _kept_reserve(brief, field)]
    moved = [field for field in moved if field not in without_effect(brief.si) or field in fields]
    factors = np.ones((1 + 2 * len(moved), len(moved)))
    for i in range(len(moved)):
        factors[1 + 2 * i : 3 + 2 * i, i] = 1.0 + STEP, 1.0 - STEP
    every = {field: np.repeat(factors[:, i], sizes.size) for i, field in enumerate(moved)}
    by_kind = every.pop("pull_out_reserve") if _kept_reserve(brief, "pull_out_reserve") else None
    numbers = {field: _times(getattr(brief.si, field), by) for field, by in every.items()}
    si = brief.drawn({field: value for field, value in numbers.items() if not isinstance(value, tuple)})
    if "pull_out_reserve" in numbers:
        numbers["pull_out_reserve"] = np.maximum(numbers["pull_out_reserve"], 1.0)  # less than none is none
    for field, value in numbers.items():  # a fixed supply is a pair of equal frequencies by now, and no drive
        setattr(si, field, value)
    si.active_length, si.rotor_diameter = brief.si.active_length, brief.si.rotor_diameter
    elasticity, limits, binds, gain = {}, {}, {}, {}
    for kind, rotor in rounds(list(ROTORS.items()), progress):
        if by_kind is not None:
            si.pull_out_reserve = rotor.reserve * by_kind
        best = best_designs(si, np.tile(sizes, len(factors)), merit, brief.supply_is_fixed, (kind,))[kind]
        with np.errstate(invalid="ignore", divide="ignore"):
            log_merit = np.log(best.merit).reshape(len(factors), sizes.size)
        slopes = (log_merit[1::2] - log_merit[2::2]) / np.log((1 + STEP) / (1 - STEP))
        elasticity[kind] = dict(zip(moved, slopes, strict=True))
        limits[kind] = tuple(reasons.limits(best, i) for i in range(sizes.size))
        binds[kind], gain[kind] = _strongest(elasticity[kind], sizes.size)
        binds[kind] = np.where(best.merit[: sizes.size] <= 0.0, "friction", binds[kind])
    return Binding(merit, units.quantity(sizes, "m"), elasticity, limits, binds, gain)


def _number(brief, field, refuse=True):
    """Return whether a field is a number above zero, or a pair of them, that may be moved."""
    value = getattr(brief.si, field, None)
    ends = value if isinstance(value, tuple) else (value,)
    fine = all(isinstance(end, (int, float, np.floating)) and not isinstance(end, bool) and end > 0 for end in ends)
    if refuse and not (fine and field not in ("rotor_diameter", "active_length")):
        raise ValueError(
            f"fields: got {messages.shorten(field)}; expected a field of this brief that is a number above 0"
        )
    return fine


def _kept_reserve(brief, field):
    """Return whether a field is the reserve that a fixed supply must leave, and each type has its own."""
    return field == "pull_out_reserve" and brief.si.pull_out_reserve is None and brief.si.supply != "drive"


def _times(value, by):
    return tuple(end * by for end in value) if isinstance(value, tuple) else value * by


def _strongest(elasticity, count):
    """Return (name, elasticity) of the limit that would help most when relaxed."""
    gains = []
    for fields in RELAXED.values():
        there = [way * np.nan_to_num(elasticity[field]) for field, way in fields.items() if field in elasticity]
        gains.append(np.sum(there, axis=0) if there else np.zeros(count))
    gains = np.array(gains)
    best = gains.argmax(axis=0)
    most = gains.max(axis=0)
    return np.where(most > STEP, np.array(list(RELAXED))[best], NOTHING), most
