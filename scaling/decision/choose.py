"""``choose``: from a brief to a defended choice."""

import functools
import math
from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from scaling.decision import bands, frame, reasons
from scaling.decision.brief import Brief
from scaling.decision.brief_electrical import ELECTRICAL
from scaling.decision.checks import failures
from scaling.decision.design import Design
from scaling.decision.merits import MERITS
from scaling.decision.optimum import best_designs
from scaling.decision.ranked import Ranked
from scaling.decision.remade import Origin
from scaling.decision.saved import SavedChoice
from scaling.ground import messages, units
from scaling.machines import YARDSTICK
from scaling.machines.rotor import Objective

KEPT = 256  # briefs whose designs are kept: lists, tables and pictures ask the same again


@dataclass(frozen=True)
class Choice(Ranked, SavedChoice):
    """The answer to a brief: every type's best design, ranked, with margin and reason.

    ``choice["induction"]`` is a type's Design, ``best`` the winner (None if no type meets the brief), ``margin`` its
    lead over the second, ``is_level`` whether that lies within the ``band`` of a tie, ``reason`` one or two sentences,
    ``remarks`` what else a colleague should hear, ``yardstick`` how many times a magnet rotor beats the best of the
    three.
    """

    brief: Brief
    merit: str
    designs: dict[str, Design]
    ranking: tuple[str, ...]
    reason: str
    remarks: tuple[str, ...]

    @property
    def briefs(self) -> dict[str, Brief]:
        """{type: brief of its design}: the choice's own, or where a frame is given a plain one of its lengths.

        The plain one has the design's pole pairs; ``choose`` makes the same design of it.
        """
        return {kind: design.brief for kind, design in self.designs.items()}

    @property
    def margin(self) -> float:
        """Merit of the best over the second that meets the brief; infinite if there is no second, NaN if no best."""
        if len(self.ranking) < 2:
            return math.inf if self.ranking else math.nan
        return self.designs[self.ranking[0]].merit / self.designs[self.ranking[1]].merit

    @property
    def band(self) -> float:
        """Factor that the model's assumptions leave open of the lead of the best over the second; NaN without these."""
        if len(self.ranking) < 2:
            return math.nan
        return bands.tie_band(self.brief, self.ranking[0], self.ranking[1], self.merit)

    @property
    def is_level(self) -> bool:
        """Whether the margin lies within the band: a tie."""
        return self.margin < self.band

    @property
    def yardstick(self) -> float:
        """Merit of the magnet rotor over the best of the three other types, brief met or not."""
        return float(over_the_best_of_three({kind: design.merit for kind, design in self.designs.items()}))

    @property
    def torque_margin(self) -> float:
        """Torque of the best over the torque asked for; NaN if none was asked for."""
        asked = self.brief.si.torque
        return math.nan if asked is None or self.best is None else self.best.values["torque"] / asked

    @property
    def power_margin(self) -> float:
        """Power of the best over the power asked for; NaN if none was asked for."""
        asked = self.brief.si.power
        return math.nan if asked is None or self.best is None else self.best.values["power"] / asked

    def __repr__(self):
        head = f"<Choice: {self.best.kind}" if self.best else "<Choice: none"
        return f"{head}, margin {self.margin:.3g}, by {self.merit}>"


def design_at(best, i, brief, merit):
    """Return design i of a type's array result, of a brief whose numbers are no arrays."""
    values = {name: float(array[i]) for name, array in best.figures.items()}
    feasible = bool(best.feasible[i])
    failed = failures(best, i, brief.si)
    usable = feasible or math.isfinite(values["torque"])
    return Design(
        kind=best.kind,
        merit=float(best.merit[i]) if usable and math.isfinite(best.merit[i]) else math.nan,
        merit_unit=MERITS[merit].unit,
        feasible=feasible,
        reasons=failed + (reasons.range_notes(best, i, brief.si) if usable else ()),
        limited_by=reasons.limits(best, i) if usable else (),
        material=str(best.material[i]),
        values=values,
        origin=Origin(brief.si, merit, bool(np.all(np.equal(*brief.si.supply_frequency)))),
    )


def plain_brief(brief, design):
    """Return the brief whose lengths and ratios are a design's, which was found in the frame of another."""
    if not brief.leaves_frame_open or not math.isfinite(design.values["torque"]):
        return brief
    made = frame.made(design.values)
    for name in ("rotor_diameter", "active_length"):
        made[name] = units.quantity(made[name], "m")
    return replace(brief, **made, pole_pairs=design.pole_pairs)


def _of_brief(design, brief):
    """Return a design with the brief that it was made for."""
    plain = plain_brief(brief, design)
    return replace(design, brief=plain, origin=design.origin._replace(si=plain.si))


def over_the_best_of_three(merits):
    """Return how many times the yardstick's merit is that of the best other type; infinite where none is above zero.

    ``merits`` is {kind: number or array along sizes}; a type without torque does not count.
    """
    others = np.array([merit for kind, merit in merits.items() if kind != YARDSTICK])
    best = np.max(np.where(others > 0.0, others, 0.0), axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(best > 0.0, merits[YARDSTICK] / best, np.inf)


def competitors(brief, designs):
    """Return the kinds that compete: the three, and the magnet rotor if the brief allows it."""
    return tuple(kind for kind in designs if kind != YARDSTICK or brief.magnets_allowed)


def choose(brief: Brief, merit: str = "torque per volume") -> Choice:
    """Return the choice of machine type for a brief.

    Parameters
    ----------
    brief : Brief
    merit : str
        "torque per volume", "torque per mass", "power per volume", "efficiency", "torque per root watt" or "power per
        volt-ampere"

    Returns
    -------
    Choice

    Raises
    ------
    TypeError
        if ``brief`` is not a Brief
    ValueError
        if ``merit`` is unknown

    Validity
    --------
    One wave of current, the field in concentric rings. The output of standard four-pole motors of 56 to 315 mm shaft
    height, cores from memory, is met to a factor of 1.11 in the median, 1.42 at worst. In a ratio between types only
    errors that both share cancel: ``band`` of the answer is what the model's assumptions leave open of a lead.

    Examples
    --------
    >>> choose(Brief(rotor_diameter="100 mm", gap_floor="20 um")).best.kind
    'induction'
    """
    check(brief, merit)
    numbers = tuple((name, value) for name, value in vars(brief.si).items() if name not in ELECTRICAL)
    made = _designs(numbers, merit, brief.supply_is_fixed)
    designs = {kind: _of_brief(design, brief) for kind, design in made}
    able = [kind for kind in competitors(brief, designs) if designs[kind].feasible]
    ranking = tuple(sorted(able, key=lambda kind: -designs[kind].merit))
    reason, remarks = explain(brief, merit, designs, ranking)
    if brief.uncertainties:
        names = ", ".join(brief.uncertainties)
        remarks += (f"Taken at the middle of what is known of {names}: `certainty` says how sure the choice is.",)
    return Choice(brief, merit, designs, ranking, reason, remarks)


@functools.lru_cache(maxsize=KEPT)
def _designs(numbers, merit, fixed_supply):
    """Return ((kind, Design), ...) for the items of a brief in SI, but for those of its winding's voltage."""
    brief = SimpleNamespace(si=SimpleNamespace(**dict(numbers)))
    found = best_designs(brief.si, [brief.si.rotor_diameter], merit, fixed_supply)
    return tuple((kind, design_at(best, 0, brief, merit)) for kind, best in found.items())


def forget():
    """Forget the designs that are kept, as after a change of a table they rest on."""
    _designs.cache_clear()


def check(brief, merit, varies=""):
    """Refuse anything but a Brief and a known merit, and a given outside where what varies is the rotor diameter."""
    if not isinstance(brief, Brief):
        raise TypeError(
            f"brief: got {messages.shorten(brief)}; expected a Brief, such as Brief(rotor_diameter='20 mm')"
        )
    messages.choice(merit, MERITS, "merit")
    if varies and brief.leaves_frame_open:
        raise ValueError(
            f"outside_diameter: got {messages.shorten(brief.outside_diameter)}, and {varies} varies the rotor "
            "diameter; expected a rotor_diameter instead, such as in choose(brief).briefs['induction']"
        )


def explain(brief, merit, designs, ranking):
    """Return (reason, remarks) for a ranking."""
    others = [kind for kind in competitors(brief, designs) if kind not in ranking]
    excluded = "; ".join(f"{kind}: {designs[kind].reasons[0]}" for kind in others)
    if not ranking:
        return f"No type meets the brief. {excluded}.", tuple(reasons.rise_of_class(brief.si))
    best, remarks = designs[ranking[0]], reasons.rise_of_class(brief.si)
    if len(ranking) == 1:
        reason = f"Only {best.kind} meets the brief. {excluded}."
    else:
        band = bands.tie_band(brief, best.kind, ranking[1], merit)
        reason = reasons.comparison(best, designs[ranking[1]], merit, band)
        remarks += _tie(brief, merit, best, designs[ranking[1]])
    if MERITS[merit].objective in (Objective.TORQUE, Objective.ROOT_WATT):
        strongest = max((designs[kind] for kind in ranking), key=lambda design: design.values["power"])
        if strongest is not best:
            advice = ": ask for the speed that the load needs" if brief.si.speed is None else ""
            remarks.append(reasons.by_power(strongest, best, advice))
    for kind in others:
        rival = designs[kind]
        if rival.merit > best.merit:
            remarks.append(
                f"{kind.capitalize()} would give {rival.merit / best.merit:.2g} times as much, but {rival.reasons[0]}."
            )
    if best.efficiency < reasons.USELESS:
        remarks.append(
            f"Even the best turns only {1000 * best.efficiency:.2g} ‰ of its electrical power into work: at this size "
            "and frequency judge it as a positioner or a torque source, or change frequency, gap or type."
        )
    remarks.extend(f"{best.kind.capitalize()}: {note}." for note in best.reasons)
    return reason, tuple(remarks)


def _tie(brief, merit, best, second):
    """Return the sentence that calls the two leading designs level, as a list; empty where they are not."""
    kinds = best.kind, second.kind
    band = bands.tie_band(brief, *kinds, merit)
    if best.merit / second.merit >= band:
        return []
    return [reasons.tie(best, second, band, bands.most_open(brief, *kinds, merit))]
