"""Picture of the field in the section of a chosen design. Takes an Axes, returns it."""

import numpy as np

from scaling.decision.design_field import design_field
from scaling.ground import units
from scaling.pictures import lines, section
from scaling.pictures.round_fields import current_of_mark, finish, mark_angle, mark_current

STEPS = 8  # field lines of a pole, where the flux between them is not given
SHAPE_LINE = 0.5  # width of an outline
WIDTH = -1.25, 1.25  # of the picture over the outside radius


def draw_design_field(ax, choice, kind, time=0.0, *, solved=None, line_flux=None, marks=False):
    """Draw the field lines of a chosen design over its section; return the Axes.

    The rotor is the one of ``draw_section``, the stator smooth: its slots stand in the gap's reluctivity (Carter's
    coefficient), its currents in a sheet at the bore. Lines run through the bars of a cage as through a ring of the
    bars' mean conductivity. Between two lines flows the same flux. A dot is current out of the picture, a cross current
    into it, at the bore and in the middle of what the rotor has induced; all stand for the same current.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one, about as wide as high
    choice : Choice
        what ``choose(brief)`` returns
    kind : str
        a machine type
    time : float
        instant; at zero the current is largest at angle zero, to the right [s]
    solved : DesignField, optional
        what ``design_field(choice, kind)`` returned: saves the time of solving again, for many instants
    line_flux : float, optional
        flux between two lines, to compare pictures; an eighth of the largest A_z if not given [Wb/m]
    marks : bool
        whether to show where the largest current and the rotor's d axis stand

    Raises
    ------
    TypeError, KeyError, ValueError
        as ``scaling.decision.curve.remade``; if ``line_flux`` is not above zero, or gives more than 60 lines a pole

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> from scaling.pictures import plots
    >>> fig, ax = plots.figure()
    >>> draw_design_field(ax, choose(Brief(rotor_diameter="20 mm", pole_pairs=2)), "hysteresis").get_title()
    'hysteresis, 20 mm rotor, 4 poles'
    >>> plots.plt.close(fig)
    """
    solved = design_field(choice, kind) if solved is None else solved
    design, p, turned = choice[kind], solved.sizes.p, solved.rotor_angle(time)
    s, shapes = section.rotor_shapes(design, choice.briefs[kind].si, turned)
    per_metre = s.R / solved.sizes.R
    for name, shape in shapes.items():
        section.paint(ax, name, shape, SHAPE_LINE * min(1.0, section.UNCROWDED / shape[-1]))
    x, y = _contours(ax, solved, time, line_flux, per_metre)
    ax.plot(x, y, **lines.FIELD_LINE, label="_field lines")
    sheet = solved.point.operation.loading.item() * solved.sizes.bore
    per_mark = current_of_mark(sheet, p)
    mark_current(ax, p, s.bore, sheet * np.exp(1j * (solved.phase(time) + p * turned)), per_mark, "stator")
    induced = solved.ring_current(time) * np.exp(1j * p * turned)
    if np.abs(induced) > 0:
        mark_current(ax, p, (s.R - s.tip + s.inner) / 2, induced, per_mark, "rotor")
    if marks:
        mark_angle(ax, (solved.phase(time) + p * turned) / p, (s.bore + s.outside) / 2, -1, "current")
        mark_angle(ax, turned, 0.9 * s.inner, 1, "rotor")
    finish(ax, s.outside, s.unit, WIDTH)
    ax.set_title(f"{kind}, {units.show(design.rotor_diameter, digits=3)} rotor, {2 * p} poles")
    return ax


def _contours(ax, solved, time, line_flux, per_metre):
    """Return x, y of the lines of equal A_z all round, NaN between them."""
    pole, count = solved.potential(time)[:, :-1], 2 * solved.sizes.p
    potential = np.hstack([(-1) ** number * pole for number in range(count)])
    angles = np.add.outer(np.pi / solved.sizes.p * np.arange(count), solved.field.angles[:-1]).ravel()
    potential, angles = np.column_stack([potential, potential[:, 0]]), np.append(angles, angles[0] + 2 * np.pi)
    angles, r = angles + solved.rotor_angle(time), solved.field.radii[:, None] * per_metre
    most = np.abs(potential).max()
    above = lines.levels(most, most / STEPS if line_flux is None else line_flux)
    found = ax.contour(r * np.cos(angles), r * np.sin(angles), potential, levels=[*-above[::-1], *above])
    curves = [np.vstack([curve, [[np.nan, np.nan]]]) for level in found.allsegs for curve in level if len(curve)]
    found.remove()
    return lines.drawn(np.vstack([[[np.nan, np.nan]], *curves]).T)
