"""The band of a tie: how much of a lead the model's assumptions leave open, by size and pair of kinds.

``bands.json`` beside this file holds what ``tests/measure_bands.py`` measured: for every merit, fixed supply and drive,
kind and assumption, the change of the logarithm of the kind's merit with the alternative, along sizes; null where a
kind has no torque.
"""

import functools
import json
from pathlib import Path

import numpy as np

from scaling.decision.alternatives import left_open

FLOOR = 1.05  # of a band: what the search and the laws of one brief miss alone
MEASURED = Path(__file__).with_name("bands.json")


def tie_band(brief, first, second, merit="torque per volume", rotor_diameter=None, besides=()):
    """Return the factor within which a lead of one kind over a second is open, and so no lead.

        band = exp(sqrt(sum of ln(change of the lead)**2))

    over the assumptions that the brief leaves at their defaults (see ``combined``), at least 1.05.

    Parameters
    ----------
    brief : Brief
    first, second : str
        the kind that leads and its rival
    merit : str
        as in ``choose``
    rotor_diameter : float, optional
        size [m] if not the brief's
    besides : sequence of str
        fields that are no assumption although the brief leaves them at their defaults

    Validity
    --------
    Measured at 1 to 300 mm of a plain brief (gap floor 20 um, still air; 50 Hz or a drive of 10 to 100 Hz),
    interpolated on logarithms of band and size, held at the ends and where one of the two has no torque.
    ``assumptions`` works out the band of a brief itself. What the models leave out altogether is in neither.

    Examples
    --------
    >>> from scaling import Brief
    >>> tie_band(Brief(rotor_diameter="100 mm"), "induction", "hysteresis") > 1.2
    True
    """
    rows, changes = _changes(brief, first, second, merit, besides)
    known = np.isfinite(changes).any(axis=0)
    if not known.any():
        return FLOOR
    D = brief.si.rotor_diameter if rotor_diameter is None else rotor_diameter
    logs = np.log(combined(rows, changes[:, known]))
    return max(FLOOR, float(np.exp(np.interp(np.log(D), np.log(sizes()[known]), logs))))


def most_open(brief, first, second, merit="torque per volume"):
    """Return the assumption that leaves most of a lead open, at the size measured that is nearest; None if none does.

    Parameters as in ``tie_band``.
    """
    rows, changes = _changes(brief, first, second, merit)
    known = np.flatnonzero(np.isfinite(changes).any(axis=0))
    if not known.size:
        return None
    nearest = known[np.argmin(np.abs(np.log(sizes()[known] / brief.si.rotor_diameter)))]
    against = np.abs(counted(rows, changes))[:, nearest]
    return rows[int(np.argmax(against))] if against.any() else None


def changes_at(brief, first, second, merit="torque per volume"):
    """Return [(assumption, factor on the lead of the first kind over the second)] at the brief's size, as measured.

    Parameters and validity as in ``tie_band``. The factor is NaN where one of the two has no torque.
    """
    rows, changes = _changes(brief, first, second, merit)
    found = []
    for row, along in zip(rows, changes, strict=True):
        known = np.isfinite(along)
        at = np.interp(np.log(brief.si.rotor_diameter), np.log(sizes()[known]), along[known]) if known.any() else np.nan
        found.append((row, float(np.exp(at))))
    return found


def combined(rows, changes):
    """Return the factor that assumptions leave open of a lead, from the changes of its logarithm (rows, sizes).

    An alternative is taken as a bound: the logarithm of the lead is as likely anywhere up to it, and as far on the
    other side, so its standard deviation is the change over the root of three (JCGM 100:2008, 4.3.7, from memory).
    Independent of each other their squares add up. The root of the sum of squares of the changes is then the root of
    three standard deviations: all of what one assumption leaves open, and of many, whose sum is nearly normal, 92 %.
    So a lead at the edge of the band turns round in one case of twenty at most. Where what is taken is itself the end
    of what can be, an alternative counts only against the lead. Rows that are NaN, where a kind has no torque, do not
    count.
    """
    return np.exp(np.sqrt(np.sum(counted(rows, changes) ** 2, axis=0)))


def counted(rows, changes):
    """Return changes of the logarithm of a lead (rows, sizes) with zeros where they do not count."""
    changes = np.reshape(changes, (len(rows), -1)) if rows else np.zeros((0, 1))
    ends = np.array([row.ends for row in rows], bool)[:, None]
    return np.where(np.isfinite(changes) & ~(ends & (changes > 0.0)), changes, 0.0)


def sizes():
    """Return the sizes [m] at which bands were measured."""
    return np.array(_measured()["rotor_diameters_mm"], float) / 1000.0


def _changes(brief, first, second, merit, besides=()):
    """Return (assumptions that a brief leaves open, changes of the logarithm of the lead (rows, sizes))."""
    kinds = _measured()["log_change"][merit]["fixed" if brief.supply_is_fixed else "drive"]
    rows = left_open(brief, besides)
    both = [np.array([kinds[kind][row.name] for row in rows], float) for kind in (first, second)]
    return rows, np.reshape(both[0] - both[1], (len(rows), len(sizes())))


@functools.cache
def _measured():
    return json.loads(MEASURED.read_text(encoding="utf-8"))
