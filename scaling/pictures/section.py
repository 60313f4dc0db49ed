"""The cross-section of a design to scale, with its gap magnified. Takes an Axes, uses its methods, returns it."""

import math
from types import SimpleNamespace

import numpy as np

from scaling.ground import units
from scaling.laws import geometry
from scaling.machines.reluctance import FORMS
from scaling.machines.stator import tooth_tip
from scaling.pictures import barriers, labels

FRAME = 1.7  # side of the magnified view over the outside radius
LIMITS = (-2.3, 3.15), (-1.5, 1.3)  # of x and y over the outside radius
DECIMALS = 9  # of a coordinate in mm or µm
CIRCLE = 360  # points of a circle at least
FACET = 0.01  # of the gap: how far a drawn circle may lie inside the true one
FORM_OF = {FORMS["flux barriers"]: "barred", FORMS["salient"]: "salient"}
SLIT = 0.1  # depth of a slot opening over the depth of the slot
BARS_PER_SLOT = 5 / 6
MANY = 1000  # slots from which on their copper is one block each
UNCROWDED = 24  # pieces of a kind at most that are outlined in full strength
LETTER = 0.12  # room a pole needs along the circle to bear its N or S, over the outside radius

IRON = {"facecolor": "#d0d3d8"}
AIR = {"facecolor": "white"}
HUB = {"facecolor": "#f3eee2", "hatch": "..", "edgecolor": "#a09880"}
SHAFT = {"facecolor": "#9aa0a8"}
CONDUCTOR = {"facecolor": "#f2b880", "edgecolor": "#7a4a14"}
BARS = CONDUCTOR | {"hatch": "xxxx"}
PHASES = {"U": CONDUCTOR | {"hatch": "/////"}, "V": CONDUCTOR | {"hatch": "....."}, "W": CONDUCTOR | {"hatch": "-----"}}
RING = {"facecolor": "#f7b183", "hatch": "xxxx", "edgecolor": "#8a3c00"}
POLES = {
    "N": {"facecolor": "#d9b8ee", "hatch": "////", "edgecolor": "#5a1f80"},
    "S": {"facecolor": "#c4d8f2", "hatch": "....", "edgecolor": "#1f4a80"},
}
LINE = {"color": "black", "linestyle": "-", "marker": "", "solid_capstyle": "butt"}


def draw_section(ax, design, brief):
    """Draw the cross-section of a design to scale, and the gap region magnified beside it; return the Axes.

    Lengths are in mm, in µm below 1 mm of rotor diameter; the magnified view is an inset in the same unit, its
    magnification stands above it. Outlines are also lines with a name, so that ``plots.summarise`` tells their radii.

    Taken from the design: diameters, gap, slot depth, pitch and fill, pole pairs, thickness of the rotor's layer, share
    of the bars and opening of their slots, pole arc, number and share of barriers, remanence of the magnets. Taken from
    the brief, for a design does not carry them: tooth share, opening of the stator's slots, magnet arc, ribs, height of
    a cage's tooth tips, kind of induction rotor, bearing diameter (drawn as shaft). Areas of teeth, copper and bars are
    the model's: the copper shows the fill of a slot.

    The rest is a choice of the drawing and no part of the model: stator teeth have parallel sides, a cage has five bars
    to six stator slots (common practice, no source: any number that differs would do; the model has as many, of the
    same shares), the copper of a slot is one or more blocks with insulation around, a stator slot's opening is up to a
    tenth of its slot deep, phases U, V, W lie one coil side to a slot. Stator slots are wider than in the model, whose
    slot layer is flat: the copper fills less of them than slot_fill.

    Parameters
    ----------
    ax : matplotlib Axes
        an empty one, about 1.9 times as wide as high
    design : Design
        of any type
    brief : Brief
        the one the design was chosen for; its size may differ, as in a sweep

    Raises
    ------
    ValueError
        if the brief is not the design's, or the design has no running point and so no rotor to draw
    """
    s = _sizes(design, brief.si)
    shapes = _stator(s) | _ROTORS[s.kind](s)
    if s.shaft > 0:
        shapes["shaft"] = _disc(s, s.shaft, SHAFT)
    half = FRAME * s.outside / 2
    middle = 2.2 * s.outside
    inset = ax.inset_axes([middle - half, -1.0 * s.outside, 2 * half, 2 * half], transform=ax.transData)
    for name, shape in shapes.items():
        paint(ax, name, shape, 0.5 * min(1.0, UNCROWDED / shape[-1]))
        paint(inset, name, shape, 1.0)
    ax.set(aspect="equal", xlabel=s.unit, ylabel=s.unit)
    ax.set(xlim=np.multiply(LIMITS[0], s.outside), ylim=np.multiply(LIMITS[1], s.outside))
    ax.set_axis_off()
    size = units.show(design.rotor_diameter, digits=3)
    ax.set_title(f"{design.kind}, {size} rotor, {2 * s.p} poles")
    _magnify(ax, inset, s)
    note = f"A: × {s.magnification:g}, gap {units.show(design.gap, digits=3)}"
    ax.text(middle, 0.76 * s.outside, note, ha="center", fontsize=10)
    labels.name_parts(ax, _parts(s), s.outside)
    _name_poles(ax, s)
    labels.dimension(ax, s.R, -1.15, s.outside, f"rotor {size}")
    labels.dimension(ax, s.outside, -1.34, s.outside, f"outside {units.show(design.outside_diameter, digits=3)}")
    labels.scale_bar(ax, middle - half, -1.25 * s.outside, s.outside, s.unit)
    return ax


def rotor_shapes(design, si, angle):
    """Return (sizes, shapes) of a rotor whose d axis stands at an angle from the right, in a bore without slots."""
    s = _sizes(design, si)
    s.turn = angle - np.pi / 2
    bore = {"stator outside": _disc(s, s.outside, IRON), "bore": _disc(s, s.bore, AIR)}
    return s, bore | _ROTORS[s.kind](s)


def paint(ax, name, shape, linewidth):
    """Draw a shape (x, y, style, number of pieces) as a filled patch and as an outline with its name."""
    x, y, style, _ = shape
    (patch,) = ax.fill(0.0, 0.0, closed=False, **{"edgecolor": "black"} | style, linewidth=0)
    patch.set_hatch_linewidth(0.5)
    patch.set_xy(np.column_stack([x, y]))  # only now: adding many points to an Axes is slow
    ax.plot(x, y, **LINE, linewidth=linewidth, label=f"_{name}")


def _check(design, si):
    """Refuse a brief that is not the design's, and a design without a rotor to draw."""
    v, D = design.values, design.values["rotor_diameter"]
    given = geometry.outside_diameter(D=D, g=v["gap"], c_D=si.outside_ratio), si.slot_depth_ratio * D
    if not np.allclose(given, (v["outside_diameter"], v["slot_depth"])):
        raise ValueError("brief: its outside and slots are not the design's; give the brief the design was chosen for")
    if not np.isfinite(v["rotor_thickness"] * v["shear_stress"]):
        why = f": {design.reasons[0]}" if design.reasons else ""
        raise ValueError(f"design: this {design.kind} machine has no running point to draw{why}")


def _sizes(design, si):
    """Return the lengths of a design in the unit of the drawing, its numbers, and what the drawing adds."""
    _check(design, si)
    v = design.values
    unit, per_metre = ("mm", 1e3) if v["rotor_diameter"] >= 1e-3 else ("µm", 1e6)
    R, g, t = per_metre * v["rotor_diameter"] / 2, per_metre * v["gap"], per_metre * v["rotor_thickness"]
    pitch, depth = per_metre * v["slot_pitch"], per_metre * v["slot_depth"]
    inner = barriers.depth_radius(R, t) if design.material == FORMS["flux barriers"] else R - t
    kind = si.induction_rotor if design.kind == "induction" else FORM_OF.get(design.material, design.kind)
    s = SimpleNamespace(
        kind=kind,
        material=design.material,
        unit=unit,
        p=design.pole_pairs,
        Q=round(2 * np.pi * (R if si.field_geometry == "plane" else R + g) / pitch),
        R=R,
        gap=g,
        bore=R + g,
        bottom=R + g + depth,
        outside=per_metre * v["outside_diameter"] / 2,
        t=t,
        inner=inner,
        shaft=min(si.bearing_diameter_ratio * R, 0.8 * inner),
        tooth=si.tooth_share * pitch,
        opening_share=si.slot_opening_ratio,
        opening=si.slot_opening_ratio * pitch / 2 / (R + g),
        copper=v["slot_fill"] * (1 - si.tooth_share) * pitch * depth,
        tip=per_metre * tooth_tip(si, v["rotor_diameter"]) if kind == "cage" else 0.0,
        bar_share=v["bar_share"],
        bar_opening=v["rotor_slot_opening_ratio"],
        remanence=v["remanence"],
        arc=si.magnet_arc if kind == "magnet" else v["pole_arc"],
        density=max(CIRCLE / (2 * np.pi), 1 / np.sqrt(8 * FACET * g / R)),
    )
    s.N = round(BARS_PER_SLOT * s.Q)
    if s.kind == "barred":
        own = {"number": int(v["barriers"]), "share": v["barrier_share"]}
        s.barriers = barriers.sizes(R=R, p=s.p, si=si, **own, per_metre=per_metre)
    # The slit stays so shallow that the copper has room outside it.
    s.filled = s.copper / (_slot_area(s, s.bottom) - _slot_area(s, s.bore))
    s.neck = s.bore + min(SLIT, (1 - s.filled) / 2) * depth
    _place_view(s, pitch)
    return s


def _place_view(s, pitch):
    """Set what the magnified view shows, and from where the rotor's angles count."""
    # About one slot pitch, or less of it so that the gap is a sixtieth of the view at least.
    view = max(min(1.2 * pitch, 60 * s.gap), 4 * s.gap)
    s.magnification = max(2.0, _round_up(FRAME * s.outside / view))
    s.view = FRAME * s.outside / s.magnification
    # In its middle: a slot, or the edge of its opening. The gap is measured under the tooth beside it, from where the
    # rotor's angles count, so that a pole stands there, or a tooth of a cage.
    edge = s.opening * s.bore
    s.middle = 0.0 if s.view > 0.9 * pitch else -edge
    s.measured = -edge - min(s.view / 2 - s.middle - edge, (1 - s.opening_share) * pitch) / 2
    s.turn = -np.arcsin(s.measured / s.R)


def _round_up(x):
    """Return the next number of one significant digit."""
    ten = 10.0 ** math.floor(math.log10(x))
    return math.ceil(x / ten - 1e-9) * ten


def _arc(s, start, end):
    """Return angles from start to end, close enough together for a smooth line."""
    return np.linspace(start, end, max(2, math.ceil(abs(end - start) * s.density) + 1))


def _path(*pieces):
    """Return (radii, angles) of a path of pieces (radius, angle), numbers or arrays."""
    pairs = [np.broadcast_arrays(*np.atleast_1d(r, angle)) for r, angle in pieces]
    return tuple(np.concatenate(part) for part in zip(*pairs, strict=True))


def _around(path, count, places=None, turn=0.0):
    """Return x, y of a path repeated from the top and ``turn`` on, counter-clockwise: one outline of all repeats.

    With ``places``, numbers among the repeats, each is an outline of its own, NaN between them.
    """
    r, angle = path
    apart = places is not None
    places = places if apart else np.arange(count)
    turned = np.pi / 2 + turn + 2 * np.pi / count * places[:, None] + angle
    # Rounded, and 0.0 added to -0.0, so that a summary is the same on every machine.
    x, y = (np.round(part, DECIMALS) + 0.0 for part in (r * np.cos(turned), r * np.sin(turned)))
    if apart:
        x, y = (np.hstack([part, part[:, :1], np.full((len(part), 1), np.nan)]) for part in (x, y))
        return x.ravel(), y.ravel()
    return np.append(x, x[0, 0]), np.append(y, y[0, 0])


def _disc(s, r, style):
    return *_around((r, _arc(s, 0.0, 2 * np.pi)), 1), style, 1


def _sector(s, low, high, half):
    """Return the path around a piece of a ring, ``half`` to either side of its middle."""
    return _path((high, _arc(s, -half, half)), (low, _arc(s, half, -half)))


def _slot_half(s, r):
    """Return the half angle of a slot between parallel-sided teeth at radius r."""
    return np.pi / s.Q - np.arcsin(s.tooth / (2 * r))


def _slot_area(s, r):
    """Return the integral of a slot's width over the radius, up to r."""
    return r**2 * _slot_half(s, r) - s.tooth / 2 * np.sqrt(r**2 - s.tooth**2 / 4)


def _stator(s):
    """Return the stator's shapes {name: (x, y, style, number of pieces)}, in the order to paint them."""
    turn, o = 2 * np.pi / s.Q, s.opening
    low, high = _slot_half(s, s.neck), _slot_half(s, s.bottom)
    bore = _path(
        (s.bottom, _arc(s, 0.0, high)),
        (s.neck, low),
        (s.neck, o),
        (s.bore, _arc(s, o, turn - o)),
        (s.neck, turn - o),
        (s.neck, turn - low),
        (s.bottom, _arc(s, turn - high, turn)[:-1]),
    )
    shapes = {"stator outside": _disc(s, s.outside, IRON), "bore and slots": (*_around(bore, s.Q), AIR, s.Q)}
    blocks = _copper(s)
    slots = np.arange(s.Q)
    belt = slots * 2 * s.p * 3 // s.Q  # U, -V, W, -U, V, -W
    for phase, (name, style) in enumerate(PHASES.items()):
        xy = [_around(block, s.Q, slots[belt % 3 == phase]) for block in blocks]
        shapes[f"copper {name}"] = (*np.hstack(xy), style, s.Q)
    return shapes


def _copper(s):
    """Return the paths of one slot's copper blocks, together of the model's copper area."""
    width = 2 * s.neck * _slot_half(s, s.neck)
    blocks = round(np.clip((s.bottom - s.neck) / (2 * width), 1, 4)) if s.Q < MANY else 1
    edges = np.linspace(s.neck, s.bottom, blocks + 1)
    fill = s.copper / (_slot_area(s, s.bottom) - _slot_area(s, s.neck))
    paths = []
    for low, high in zip(edges[:-1], edges[1:], strict=True):
        room = _slot_area(s, high) - _slot_area(s, low)
        spare = (high - low) * (1 - np.sqrt(fill)) / 2
        low, high = low + spare, high - spare
        share = fill * room / (_slot_area(s, high) - _slot_area(s, low))
        a, b = share * _slot_half(s, low), share * _slot_half(s, high)
        paths.append(_path((high, _arc(s, -b, b)), (low, _arc(s, a, -a))))
    s.copper_middle = (low + high) / 2
    return paths


def _cage(s):
    turn, tip = 2 * np.pi / s.N, s.R - s.tip
    half = (1 - s.bar_opening) * turn / 2
    surface = _path((s.R, _arc(s, -half, half)), (tip, _arc(s, half, turn - half)))
    bar = _sector(s, s.inner, tip, s.bar_share * turn / 2)
    return {
        "rotor surface": (*_around(surface, s.N, turn=s.turn), IRON, s.N),
        "bars": (*_around(bar, s.N, np.arange(s.N), s.turn + turn / 2), BARS, s.N),
    }


def _sheet(s):
    return {"rotor surface, sheet": _disc(s, s.R, BARS), "rotor core": _disc(s, s.inner, IRON)}


def _ring(s):
    return {"rotor surface, ring": _disc(s, s.R, RING), "hub": _disc(s, s.inner, HUB)}


def _salient(s):
    turn = np.pi / s.p
    half = s.arc * turn / 2
    outline = _path((s.R, _arc(s, -half, half)), (s.inner, _arc(s, half, turn - half)))
    return {"rotor surface, poles": (*_around(outline, 2 * s.p, turn=s.turn), IRON, 2 * s.p)}


def _cut(s):
    turn, paths = s.turn + np.pi / (2 * s.p), barriers.outlines(**vars(s.barriers), density=s.density)
    xy = np.hstack([_around(path, 2 * s.p, np.arange(2 * s.p), turn) for path in paths])
    return {"rotor surface": _disc(s, s.R, IRON), "barriers": (*xy, AIR, 2 * s.p * len(paths))}


def _magnets(s):
    piece = _sector(s, s.inner, s.R, s.arc * np.pi / (2 * s.p))
    poles = np.arange(2 * s.p)
    shapes = {"rotor core": _disc(s, s.inner, IRON)}
    for i, (name, style) in enumerate(POLES.items()):
        shapes[f"magnets {name}"] = (*_around(piece, 2 * s.p, poles[i::2], s.turn), style, 2 * s.p)
    return shapes


_ROTORS = {"cage": _cage, "sheet": _sheet, "hysteresis": _ring, "salient": _salient, "barred": _cut, "magnet": _magnets}


def _magnify(ax, inset, s):
    """Set the magnified view: its limits, its place in the section, and the gap between two arrows."""
    x, y, half, at = s.middle, s.R + s.gap / 2, s.view / 2, s.measured
    inset.set(xlim=(x - half, x + half), ylim=(y - half, y + half), aspect="equal", xticks=[], yticks=[])
    inset.grid(False)
    arrow = {"arrowstyle": "-|>", "shrinkA": 0, "shrinkB": 0, "color": "black"}
    for r, away in ((s.bore, 1), (s.R, -1)):
        end = np.sqrt(r**2 - at**2)
        inset.annotate("", (at, end), (at, end + away * 0.18 * s.view), arrowprops=arrow)
    label = (at + 0.04 * s.view, np.sqrt(s.bore**2 - at**2) + 0.12 * s.view)
    inset.text(*label, "gap", ha="left", va="center", fontsize=9, bbox=labels.ON_WHITE)
    r, turn = max(0.75 * s.view, 0.06 * s.outside), np.linspace(0, 2 * np.pi, 60)
    ax.plot(x + r * np.cos(turn), y + r * np.sin(turn), **LINE, linewidth=1)
    ax.annotate(
        "A", (x, y + r), (x, 1.1 * s.outside), ha="center", fontsize=10, arrowprops=labels.LEADER | {"shrinkA": 0}
    )


def _nearest(count, degrees, offset=0.0, turn=0.0):
    """Return the angle nearest to ``degrees`` of one of ``count`` pieces; ``offset`` in pieces, ``turn`` in radians."""
    pitch = 2 * np.pi / count
    first = np.pi / 2 + turn + offset * pitch
    return first + pitch * np.round((np.radians(degrees) - first) / pitch)


def _parts(s):
    """Return [(name, radius, angle)] of the parts to name, in the order of their angles."""
    layer, core = (s.R - s.tip + s.inner) / 2, (s.inner + s.shaft) / 2
    iron, shaft = (200, 218) if s.kind == "barred" else (215, 240)
    parts = [
        ("yoke", (s.bottom + s.outside) / 2, np.radians(135)),
        (f"{s.Q} teeth", (s.neck + s.bottom) / 2, _nearest(s.Q, 150, 0.5)),
        (f"3 phases, copper {100 * s.filled:.0f} % of the slots", s.copper_middle, _nearest(s.Q, 165)),
        ("gap", s.R + s.gap / 2, np.pi),
        ("hub, not magnetic" if s.kind == "hysteresis" else "rotor iron", core, np.radians(iron)),
    ]
    if s.shaft > 0:
        parts.append(("shaft", s.shaft / 2, np.radians(shaft)))
    if s.kind == "cage":
        parts.append((f"{s.N} bars: {s.material}", layer, _nearest(s.N, 190, 0.5, s.turn)))
    if s.kind in ("sheet", "hysteresis"):
        name = {"sheet": "sheet", "hysteresis": "ring"}[s.kind]
        parts.append((f"{name}: {s.material}", layer, np.radians(190)))
    if s.kind == "barred":
        parts += barriers.parts(**vars(s.barriers), q=_nearest(2 * s.p, 195, 0.5, s.turn))
    if s.kind == "salient":
        parts.append(("pole", layer, _nearest(2 * s.p, 190, 0.0, s.turn)))
        parts.append(("space between poles", layer, _nearest(2 * s.p, 200, 0.5, s.turn)))
    if s.kind == "magnet":
        parts.append((f"N out: {s.material}, {s.remanence:.2g} T", layer, _nearest(s.p, 185, 0.0, s.turn)))
        parts.append(("S out", layer, _nearest(s.p, 200, 0.5, s.turn)))
    return sorted(parts, key=lambda part: part[2] % (2 * np.pi))


def _name_poles(ax, s):
    """Write N and S into the iron under the magnets where there is room."""
    r = s.inner - 0.08 * s.outside
    if s.kind == "magnet" and np.pi * r / s.p > LETTER * s.outside:
        for i, angle in enumerate(np.pi / 2 + s.turn + np.pi / s.p * np.arange(2 * s.p)):
            ax.text(r * np.cos(angle), r * np.sin(angle), "NS"[i % 2], ha="center", va="center", fontsize=8)
