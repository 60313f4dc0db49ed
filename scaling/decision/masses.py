"""The mass of a design's active parts, by part and material."""

import math
import numbers
from dataclasses import dataclass

from scaling.decision.design import Design
from scaling.decision.performance import PARTS
from scaling.ground import materials, messages, units
from scaling.machines.starting_cage import CONDUCTOR

SHEET = "electrical sheet"
MATERIALS = (SHEET, *materials.CONDUCTORS, *materials.LOOP_MATERIALS, *materials.MAGNETS)  # that may have a price


@dataclass(frozen=True)
class Part:
    """An active part: the name of its material, and its mass as a quantity."""

    material: str
    mass: units.Quantity


def active_masses(design: Design) -> dict[str, Part]:
    """Return the mass of every active part of a design and its material: {part: Part}. They add up to its mass.

    Parameters
    ----------
    design : Design
        of ``choose`` or ``size_for``

    Returns
    -------
    dict
        {name of `PARTS`: Part}; parts that the design does not have are left out

    Raises
    ------
    TypeError
        if ``design`` is not a Design

    Validity
    --------
    As the mass of a design, which counts the rotor as a solid cylinder of core density whatever is in it. Its bars,
    ring or magnets are counted here with their own density, and the rest of the cylinder (iron, shaft and hub, but also
    barriers, spaces between poles and the bars of a starting cage) with what is left of the cylinder's mass: as sheet.

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> parts = active_masses(choose(Brief(rotor_diameter="100 mm"))["induction"])
    >>> {name: f"{part.mass.m_as('kg'):.2f} kg {part.material}" for name, part in parts.items()}["rotor layer"]
    '1.54 kg copper'
    """
    if not isinstance(design, Design):
        raise TypeError(
            f"design: got {messages.shorten(design)}; expected a Design, such as choose(brief)['induction']"
        )
    found = {}
    for name in PARTS:
        kilograms = design.values[f"{name} mass"]
        if kilograms != 0.0:
            found[name] = Part(_material(name, design), units.quantity(kilograms, "kg"))
    return found


def _material(part, design):
    """Return the name of the material of a part."""
    if part == "winding":
        return design.brief.si.conductor
    if part == "rotor layer":
        return design.material
    if part == "end rings":
        return CONDUCTOR.name if design.values["starting_cage"] == 1.0 else design.material
    return SHEET


@dataclass(frozen=True)
class Money:
    """What the active material of two designs costs, and what it is counted in."""

    costs: tuple[float, float]
    currency: str

    def shown(self, cost):
        """Return a cost as text."""
        return f"{float(f'{cost:.3g}'):.15g} {self.currency}".strip()

    def per_kilogram(self, a, b):
        """Return (ratio of the mean prices of a kilogram, the same as text)."""
        each = [cost / design.values["mass"] for cost, design in zip(self.costs, (a, b), strict=True)]
        return each[0] / each[1], f"the mean price of a kilogram ({each[0]:.3g} against {self.shown(each[1])})"


def active_cost(design, prices):
    """Return what the active material of a design costs at prices per kilogram, {material: number}."""
    return sum(prices[part.material] * part.mass.m_as("kg") for part in active_masses(design).values())


def read_prices(prices, designs):
    """Return the prices per kilogram of what designs are made of, {material: number}; empty if none are given."""
    if prices is None:
        return {}
    if not isinstance(prices, dict):
        raise TypeError(f"prices: got {messages.shorten(prices)}; expected {{material: price of a kilogram}}")
    for name, price in prices.items():
        messages.choice(name, MATERIALS, "prices")
        if isinstance(price, bool) or not isinstance(price, numbers.Real):
            raise TypeError(f"prices: got {messages.shorten(price)} for {name}; expected a bare number per kilogram")
        if not (math.isfinite(price) and price > 0):
            raise ValueError(f"prices: got {messages.shorten(price)} for {name}; expected a number above zero")
    needed = {part.material for design in designs for part in active_masses(design).values()}
    missing = sorted(needed - set(prices))
    if missing:
        raise ValueError(f"prices: none given for {', '.join(missing)}; expected one for every active material")
    return {name: float(prices[name]) for name in sorted(needed)}
