"""Figures of a page: sections, merit against size, losses. Nothing of the reader's own figure style is changed."""

import dataclasses
import functools

import numpy as np

from scaling.decision.sweep import sweep
from scaling.ground import units
from scaling.interface.page_parts import Figure
from scaling.pictures import plots
from scaling.pictures.labels import ON_WHITE
from scaling.pictures.section import draw_section
from scaling.pictures.vector import vector

AROUND = 5.0  # times the brief's size, and its part, that the curve reaches to
SIZES = 13
SECTION, CURVE = (5.4, 2.6), (5.4, 2.9)  # inches
SMALLEST, LARGEST = 1e-5, 100.0  # m, of a curve


def _drawn(draw, size, alt, name):
    """Return the SVG of what ``draw(ax)`` draws, in the project's style, which ends here."""
    with plots.plt.rc_context():
        plots.use_style()
        fig = plots.Figure(figsize=size, layout="constrained")
        draw(fig.subplots())
        return vector(fig, alt, name)


def _figure(draw, size, alt, name, caption):
    return Figure(functools.partial(_drawn, draw, size, alt, name), alt, caption)


def section(design, brief, name):
    """Return the Figure of a design's section; None of one that has no running point to draw."""
    if not np.isfinite(design.values["rotor_thickness"] * design.values["shear_stress"]):
        return None
    words = {key: units.show(getattr(design, key), digits=3) for key in ("rotor_diameter", "outside_diameter", "gap")}
    alt = (
        f"Cross-section to scale of the {design.kind} machine: rotor of {words['rotor_diameter']} in a core of "
        f"{words['outside_diameter']}, {2 * design.pole_pairs} poles, gap {words['gap']}; the gap magnified beside."
    )
    poles = f"{2 * design.pole_pairs} poles, rotor of {design.material}"
    caption = f"{design.kind.capitalize()}, {poles}, to scale; hatches tell phases and parts apart"
    return _figure(lambda ax: draw_section(ax, design, brief).set_title(""), SECTION, alt, name, caption)


def sweep_around(choice):
    """Return the sweep of a choice's brief about its size, which is one of the sizes.

    In a frame it has the proportions of the best design.
    """
    brief = choice.brief
    if brief.leaves_frame_open:
        brief = dataclasses.replace(choice.best.brief, pole_pairs=brief.pole_pairs)
    size = brief.si.rotor_diameter
    sizes = size * np.geomspace(1.0 / AROUND, AROUND, SIZES)
    sizes = sizes[(sizes > SMALLEST) & (sizes < LARGEST)]
    return sweep(brief, units.quantity(sizes, "m"), choice.merit)


def curve(table, at=None):
    """Return the Figure of merit against size, with a line at a size [m] if given."""
    low, high = (units.show(table.rotor_diameters[i], digits=3) for i in (0, -1))
    throughout = str(table.best[0])
    changes = "; ".join(
        f"{c.below or 'no type'} is best below {units.show(c.rotor_diameter, digits=3)}, {c.above or 'no type'} above"
        for c in table.crossovers
    ) or (f"{throughout} is the best throughout" if throughout else "no type meets the brief anywhere")
    alt = f"{table.merit_name.capitalize()} against rotor diameter from {low} to {high}: {changes}."
    kept = (
        "Thick where the brief is met. Proportions as in the brief, gap floor, supply and temperature rise as given. "
    )
    caption = f"{kept}{changes[0].upper()}{changes[1:]}."
    return _figure(lambda ax: _draw_curve(ax, table, at), CURVE, alt, "curve", caption)


def _draw_curve(ax, table, at):
    plots.plot_merit(ax, table)
    if at is not None:
        ax.axvline(1e3 * at, color="black", linewidth=1.2, linestyle=(0, (5, 3)))
        place = {"xycoords": ("data", "axes fraction"), "rotation": 90, "va": "top", "ha": "center"}
        ax.annotate("this brief", (1e3 * at, 0.97), fontsize=9, bbox=ON_WHITE, **place)
    narrow = {"fontsize": 8.5, "columnspacing": 1.0, "handletextpad": 0.4, "borderpad": 0.0}
    ax.legend(loc="lower center", bbox_to_anchor=(0.46, 1.0), ncols=4, frameon=False, **narrow)
    ax.xaxis.set_major_locator(plots.LogLocator(subs=(1, 2, 5)))
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_minor_formatter("")


def losses(designs):
    """Return the Figure of where the designs' heat comes from; None if none has any."""
    shown = {design.kind: design for design in designs if np.isfinite(design.values["loss"])}
    if not shown:
        return None
    alt = f"Shares of the losses in {', '.join(shown)} machines; the table beside has the numbers."
    caption = "Where the heat comes from, in per cent of each machine's losses"
    size = SECTION[0], 0.85 + 0.28 * len(shown)
    return _figure(lambda ax: plots.plot_heat(ax, shown), size, alt, "losses", caption)
