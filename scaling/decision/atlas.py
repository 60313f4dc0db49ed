"""``atlas``: a map of the best type over two fields of a brief, with the borders where the choice changes."""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scaling.decision import atlas_words
from scaling.decision.atlas_axis import Axis, read_axes
from scaling.decision.atlas_borders import Borders
from scaling.decision.atlas_places import brief_at, mesh
from scaling.decision.atlas_raster import rastered, regions_of
from scaling.decision.atlas_surface import Explored
from scaling.decision.brief import Brief
from scaling.decision.choose import Choice, check, choose
from scaling.decision.merits import MERITS
from scaling.ground import messages, units
from scaling.ground.quantities import QUANTITY_KINDS

SEARCHED = 15  # places along either axis that are searched first
LINES = 1.4  # times as many lines, on which borders are followed
POINTS, PLACES = (15, 400), (4, 60)  # fewest and most
BESIDES = 2.0  # searches in all over those of the first places, about: what progress counts against

Line = tuple[Any, Any]


@dataclass(frozen=True)
class Region:
    """A part of a map where one answer holds: ``best`` ("" where no type meets the brief), its share of the map.

    ``x`` and ``y`` are a place well inside it, ``reason`` is why nothing meets the brief there; "" where a type does.
    """

    best: str
    share: float
    x: Any
    y: Any
    reason: str


@dataclass(frozen=True, eq=False)
class Atlas:
    """The best type of machine over two fields of a brief; arrays run along ``x``, then along ``y``.

    ``best`` names the winner ("" where no type meets the brief), ``margin`` is its lead over the second (infinite
    without a second, NaN without a winner), ``is_level`` whether that lies within the band of a tie. ``merit[kind]`` is
    in SI (``merit_unit``) and NaN where the type does not meet the brief, which ``feasible[kind]`` says;
    ``unmet[kind]`` names the check that fails there, as found at the nearest place searched. ``searched`` marks the
    points that were searched themselves, ``error[kind]`` is the middle error of the merit, relative, at places searched
    that are left out and told by the others, which lie twice as far from them as from any other point of the map.

    ``boundaries`` is {(kind, kind): lines}, "" standing for none; a line is (x, y), quantities along it, whose points
    are roots but for those where three borders meet. ``regions`` are its parts, the largest first. ``words`` says all
    that in sentences, ``at`` makes the choice at any place, ``finer`` the same map with other points.
    """

    brief: Brief
    merit_name: str
    x_name: str
    y_name: str
    x: Any
    y: Any
    best: np.ndarray
    merit: dict[str, np.ndarray]
    margin: np.ndarray
    feasible: dict[str, np.ndarray]
    is_level: np.ndarray
    unmet: dict[str, np.ndarray]
    searched: np.ndarray
    error: dict[str, float]
    boundaries: dict[tuple[str, str], tuple[Line, ...]]
    regions: tuple[Region, ...]
    axes: tuple[Axis, Axis] = field(repr=False)
    explored: Explored = field(repr=False)

    @property
    def merit_unit(self) -> str:
        """SI unit of the merit."""
        return MERITS[self.merit_name].unit

    @property
    def words(self) -> str:
        """The map in sentences: which type where, the borders at a few places, what meets the brief nowhere."""
        return atlas_words.words(self)

    def brief_at(self, x: Any, y: Any) -> Brief:
        """Return the brief with both fields set, typed as for ``Brief``."""
        return brief_at(self.brief, self.axes, [axis.read(one) for axis, one in zip(self.axes, (x, y), strict=True)])

    def at(self, x: Any, y: Any) -> Choice:
        """Return the choice at a place, searched exactly."""
        return choose(self.brief_at(x, y), self.merit_name)

    def finer(self, points: int) -> "Atlas":
        """Return the same map with so many points along either axis, told by the same search."""
        return dataclasses.replace(self, **rastered(self.explored, _whole("points", points, *POINTS)))

    def __repr__(self):
        named = {kind: 0.0 for kind in (one.best for one in self.regions)}
        for one in self.regions:
            named[one.best] += one.share
        shares = ", ".join(f"{kind or 'none'} {100 * share:.0f} %" for kind, share in named.items())
        return f"<Atlas of {self.x_name} and {self.y_name}: {shares}, by {self.merit_name}>"


def atlas(
    brief: Brief,
    x: str = "rotor_diameter",
    y: str = "supply_frequency",
    x_range: Any = None,
    y_range: Any = None,
    merit: str = "torque per volume",
    points: int = 60,
    searched: int = SEARCHED,
    x_scale: str | None = None,
    y_scale: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Atlas:
    """Return the best type of machine over two fields of a brief, with the borders where the choice changes.

    Some hundred places are searched exactly and the borders followed to their roots; between them the logarithm of
    merit is interpolated. All else stays as in the brief; with ``rotor_diameter`` the ratio of length to diameter is
    kept, as in ``sweep``. A field that is a (low, high) pair in the brief, such as the ``supply_frequency`` of a drive,
    keeps its low end, and the axis moves its high end.

    Parameters
    ----------
    brief : Brief
    x, y : str
        two fields of Brief that hold a number
    x_range, y_range : pair of strings or quantities, or a Pint quantity holding two numbers, optional
        such as ``("1 mm", "300 mm")``; if not given, usual ranges of common fields, a tenth to ten times the brief's
        value of others
    merit : str
        as in ``choose``
    points : int
        along either axis, 15 to 400; they cost no search
    searched : int
        places along either axis that are searched first, 4 to 60: fewer are quicker, and miss more
    x_scale, y_scale : str, optional
        "logarithmic" or "linear"; if not given, logarithmic where the range is a factor of five or more, but for
        temperatures
    progress : callable, optional
        called with what is done and all there is to do, as counted in places

    Returns
    -------
    Atlas

    Raises
    ------
    TypeError, ValueError
        as ``choose``; for a field that is unknown, named twice or holds no number, for a range that does not rise or
        that the field cannot take

    Validity
    --------
    As ``choose``. What lies between the places searched, a fourteenth of the axes apart, may be missed, such as the
    bands of a fixed supply that must give one speed. On borders where merits cross these differ by less than 0.1 %, or,
    where one leaps or bends, the border is found to 0.1 % of an axis, as ends of meeting the brief are.
    Between, merit is told to 1 % in the middle and 7 % in nine places of ten, worst where it bends, as where the best
    number of poles changes (``error``). Ends of types that do not lead, and so where the margin has no second, are seen
    coarsely.

    Examples
    --------
    >>> brief = Brief(rotor_diameter="20 mm", gap_floor="20 um")
    >>> made = atlas(brief, y="gap_floor", x_range=("2 mm", "20 mm"), y_range=("10 um", "40 um"), searched=4)
    >>> str(made.best[0, -1]), str(made.best[-1, 0])
    ('hysteresis', 'induction')
    """
    check(brief, merit, "a map over it" if "rotor_diameter" in (x, y) else "")
    axes = read_axes(brief, x, y, x_range, y_range, x_scale, y_scale)
    points, searched = _whole("points", points, *POINTS), _whole("searched", searched, *PLACES)
    if progress is not None and not callable(progress):
        raise TypeError(f"progress: got {messages.shorten(progress)}; expected a function of two numbers, or None")
    explored = Explored(brief, merit, axes, _Progress(progress, searched))
    places = np.unique(np.round(np.linspace(0, points - 1, searched)).astype(int)) / (points - 1)
    for kind in explored.kinds:
        explored.add(kind, explored.search(kind, mesh((places, places))))
    explored.fit()
    explored.refine((places, places))
    lines = np.linspace(0.0, 1.0, round(LINES * searched))
    chains = Borders(explored).follow((lines, lines))
    explored.tell.finish()
    explored.tell = None  # nothing is searched from here on
    raster = rastered(explored, points)
    made = Atlas(
        brief=brief,
        merit_name=merit,
        x_name=axes[0].name,
        y_name=axes[1].name,
        error=explored.error(),
        boundaries=_boundaries(explored, chains),
        regions=(),
        axes=axes,
        explored=explored,
        **raster,
    )
    return dataclasses.replace(made, regions=_regions(made))


class _Progress:
    """Tells a callback how many places are done of about how many, the last time that all are."""

    def __init__(self, callback, searched):
        self.callback, self.done, self.total = callback, 0.0, round(BESIDES * searched**2)

    def __call__(self, places):
        self.done += places
        self._tell(min(int(self.done), self.total - 1))

    def finish(self):
        self._tell(self.total)

    def _tell(self, done):
        if self.callback is not None:
            self.callback(done, self.total)


def _whole(name, value, low, high):
    problem = f"{name}: got {messages.shorten(value)}; expected a whole number from {low} to {high}"
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)):
        raise TypeError(problem)
    if not low <= value <= high:
        raise ValueError(problem)
    return int(value)


def _boundaries(explored, chains):
    """Return {(kind, kind): lines} from chains of places."""
    names, (x, y) = (*explored.kinds, ""), explored.axes
    return {
        (names[a], names[b]): tuple((x.quantity(x.value(u[0])), y.quantity(y.value(u[1]))) for u in lines)
        for (a, b), lines in chains.items()
    }


def _regions(made):
    """Return the Regions of a map, with reasons where nothing meets the brief."""
    found = []
    for share, (i, j) in regions_of(made.best):
        best, x, y = str(made.best[i, j]), made.x[i], made.y[j]
        reason = "" if best else _reason(made, [_si(axis, q) for axis, q in zip(made.axes, (x, y), strict=True)])
        found.append(Region(best, share, x, y, reason))
    return tuple(found)


def _si(axis, value):
    return float(value.m_as(QUANTITY_KINDS[axis.kind].unit)) if units.is_quantity(value) else float(value)


def _reason(made, values):
    """Return why nothing meets the brief at values in SI: what every type lacks, or fields that contradict."""
    try:
        return choose(brief_at(made.brief, made.axes, values), made.merit_name).reason
    except ValueError as error:
        return str(error)
