"""Sliders: over a brief, with merit against size, the best type and what binds; and through the steps of a picture."""

import asyncio
import html
import math
from dataclasses import replace

import ipywidgets
import numpy as np

from scaling.decision.atlas import atlas
from scaling.decision.atlas_axis import numeric_fields
from scaling.decision.brief import Brief
from scaling.decision.choose import check
from scaling.decision.merits import MERITS
from scaling.decision.sweep import sweep_on
from scaling.ground import units
from scaling.ground.messages import choice, shorten
from scaling.interface.answers import answer
from scaling.models.heat import MODES
from scaling.pictures import plots
from scaling.pictures.atlas import plot_atlas
from scaling.pictures.frames import frames, strip
from scaling.pictures.live import MeritView

SIZES = 19  # drawn; more make smoother curves and slower sliders
REST = 0.4  # s after the last move until all is searched
SLIDERS = {  # field: (label, unit, SI units in one, lowest, highest, step); widened where the brief lies outside
    "rotor_diameter": ("rotor diameter", "mm", 1e-3, 0.5, 500.0, 0.025),
    "gap_floor": ("gap floor", "µm", 1e-6, 5.0, 1000.0, 0.025),
    "supply_frequency": ("supply frequency", "Hz", 1.0, 5.0, 1000.0, 0.025),
    "temperature_rise": ("temperature rise", "K", 1.0, 5.0, 150.0, 1.0),
}
LINEAR = ("temperature_rise",)  # the step of the others is a part of a decade
READOUT = '<div style="line-height: 1.5">{}</div>'
NAMED = {"description_width": "9.5em"}
WIDE = {"width": "27em"}
MAPPED = ("rotor_diameter", "supply_frequency", "gap_floor", "temperature_rise", "active_length")
STEP_MARGINS = {"left": 0.09, "right": 0.98, "bottom": 0.17, "top": 0.95}
STEP_TIME = 250  # ms from picture to picture in play
ALT = "Merit against rotor diameter for four types of machine, with the sizes where the best type changes."


def explore(brief=None, merit="torque per volume"):
    """Return sliders and a picture that answers at once: merit of every type against rotor diameter.

    While a slider moves, the search goes on from the designs shown; as soon as it rests, all is searched.

    Sliders set rotor diameter, gap floor, supply frequency and temperature rise, lists set cooling and merit; the rest
    stays as in the brief, the ratio of length to diameter too. Where the brief's supply is a (low, high) pair, the
    slider sets its upper end. By mouse, or by keyboard: Tab to a slider, then left and right arrow.

    Parameters
    ----------
    brief : Brief, optional
        where the sliders start; a rotor of 20 mm if not given
    merit : str
        as in ``choose``

    Returns
    -------
    Explorer
        the last line of a cell shows it; a reader without a kernel sees its picture

    Raises
    ------
    TypeError, ValueError
        as ``choose``

    Examples
    --------
    >>> explorer = explore(Brief(rotor_diameter="20 mm", gap_floor="20 um"))
    >>> print(explorer.words["by size"])
    hysteresis up to about 2.8 mm, then induction
    """
    brief = Brief(rotor_diameter="20 mm") if brief is None else brief
    check(brief, merit, "the explorer")
    return Explorer(brief, merit)


class Explorer(ipywidgets.VBox):
    """``controls`` names the widgets, ``table`` is the sweep drawn (None if refused), ``words`` the readout."""

    def __init__(self, brief, merit):
        self._brief, self._timer = brief, None
        self.controls = _controls(brief, merit)
        ends = [10.0 ** getattr(self.controls["rotor_diameter"], end) for end in ("min", "max")]
        self._sizes = np.geomspace(*ends, SIZES) / 1000.0
        self._asked = self._given()
        self._table, at = self._sweep(brief)
        self.view = MeritView(self._sizes, self._table, at)
        self.image = ipywidgets.Image(value=self.view.png(), layout={"width": "800px", "max_width": "100%"})
        self.readout = ipywidgets.HTML(layout={"min_height": "9em"})
        self._say(answer(self._table, at))
        for control in self.controls.values():
            control.observe(self._moved, "value")
        super().__init__([_panel(self.controls), self.image, self.readout])

    @property
    def table(self):
        """Return the sweep at rest, None if the brief is refused."""
        self._settle()
        return self._table

    @property
    def words(self):
        """Return the readout at rest."""
        self._settle()
        return self._words

    def _moved(self, _change):
        """Answer a control that was moved; a brief that contradicts itself is told, not raised."""
        before, asked = self._asked, self._given()
        if asked == before:  # the page rounds a value in its last digit when it shows a slider
            return
        self._asked = asked
        try:
            self._now = replace(self._brief, **{name: text for name, text in asked.items() if name != "merit"})
        except ValueError as error:
            self._table = None
            self._stop()
            self.image.value = self.view.blank(self.controls["rotor_diameter"].value)
            self._say({"best": "none, such a machine cannot be made", "because": str(error)})
            return
        self._stop()
        if all(asked[name] == before[name] for name in ("cooling", "merit")) and self._table is not None:
            self._timer = _later(REST, self._settle)
        self._show(self._table if self._timer else None)

    def _show(self, near=None):
        """Search, on from the designs of a sweep if one is given, and draw."""
        self._table, at = self._sweep(self._now, near)
        self.image.value = self.view.update(self._table, at)
        self._say(answer(self._table, at))

    def _settle(self):
        """Search all, if what is shown was only searched on."""
        if self._timer is not None:
            self._stop()
            self._show()

    def _stop(self):
        if self._timer is not None:
            self._timer.cancel()
        self._timer = None

    def _given(self):
        """Return {field: text} as the controls stand, and the merit."""
        value = {name: control.value for name, control in self.controls.items()}
        given = value | {name: f"{value[name]:.6g} {unit}" for name, (_, unit, *_) in SLIDERS.items()}
        name = self._brief.length_given
        length = value["rotor_diameter"] * getattr(self._brief.si, name) / self._brief.si.rotor_diameter
        given[name] = f"{length:.6g} {SLIDERS['rotor_diameter'][1]}"
        if not self._brief.supply_is_fixed:
            lowest = f"{self._brief.si.supply_frequency[0]:.6g} {SLIDERS['supply_frequency'][1]}"
            given["supply_frequency"] = (lowest, given["supply_frequency"])
        return given

    def _sweep(self, brief, near=None):
        """Sweep the sizes drawn and the brief's own; return the table and the number of that one."""
        sizes = np.union1d(self._sizes, [brief.si.rotor_diameter])
        table = sweep_on(brief, sizes, self.controls["merit"].value, near)
        return table, int(np.searchsorted(sizes, brief.si.rotor_diameter))

    def _say(self, words):
        self._words = words
        self.readout.value = READOUT.format(
            "<br>".join(f"<b>{name}:</b> {html.escape(text)}" for name, text in words.items())
        )

    def __repr__(self):
        """Return the drawn data and the readout as text, which nbval compares."""
        self._settle()
        return "\n".join([plots.summarise(self.view.figure), *(f"{name}: {text}" for name, text in self.words.items())])

    def _repr_mimebundle_(self, **kwargs):
        """Return the sliders for a live notebook, and the picture with the drawn data for every other reader."""
        self._settle()
        still, metadata = plots.show(self.view.figure, ALT)._repr_mimebundle_()
        return super()._repr_mimebundle_(**kwargs) | still | {"text/plain": repr(self)}, metadata


def _later(seconds, call):
    """Return the timer of a call, None where no loop of events runs."""
    try:
        return asyncio.get_running_loop().call_later(seconds, call)
    except RuntimeError:
        return None


def _controls(brief, merit):
    """Return {field: widget}, set to the brief."""
    cooling, modes = brief.si.cooling, [(mode, mode) for mode in MODES]
    if cooling not in MODES:  # a coefficient of the brief's own
        shown, cooling = units.show_si(cooling, "W/m^2/K"), f"{cooling!r} W/m^2/K"
        modes.insert(0, (shown, cooling))
    elif brief.cooling != cooling:  # a code, which says more than its mode
        modes.insert(0, (brief.cooling, brief.cooling))
        cooling = brief.cooling
    listed = {"style": NAMED, "layout": WIDE}
    return {name: _slider(name, brief) for name in SLIDERS} | {
        "cooling": ipywidgets.Dropdown(description="cooling", options=modes, value=cooling, **listed),
        "merit": ipywidgets.Dropdown(description="merit", options=list(MERITS), value=merit, **listed),
    }


def _slider(name, brief):
    """Return the slider of a field; a pair of frequencies moves by its upper end and stays above its lower."""
    label, _, one, low, high, step = SLIDERS[name]
    found = getattr(brief.si, name)
    below, value = (end / one for end in (found if isinstance(found, tuple) else (found, found)))
    if below < value:
        label, low = "supply up to", below
    shared = {"value": value, "description": label, "readout_format": ".3g", "style": NAMED, "layout": WIDE}
    if name in LINEAR:
        return ipywidgets.FloatSlider(**_steps(value, low, high, step), **shared)
    return ipywidgets.FloatLogSlider(**_steps(*np.log10([value, low, high]), step), **shared)


def _steps(value, low, high, step):
    """Return the ends of a slider whole steps away from its value: in the page a slider moves to its next step."""
    down, up = max(0, math.floor((value - low) / step)), max(0, math.floor((high - value) / step))
    return {"min": float(value - down * step), "max": float(value + up * step), "step": step}


def _panel(controls):
    """Return the controls in two columns, each slider with its unit behind its number; one column on a narrow page."""
    rows = []
    for name, control in controls.items():
        unit = ipywidgets.Label(SLIDERS[name][1] if name in SLIDERS else "", layout={"width": "2.5em"})
        rows.append(ipywidgets.HBox([control, unit]))
    return ipywidgets.Box(rows, layout={"flex_flow": "row wrap", "max_width": "800px"})


def atlas_explorer(brief=None, fields=MAPPED, merit="torque per volume", points=(), searched=15):
    """Return lists of fields and a map of the best type over two of them, with its words.

    A map takes some ten seconds and is kept. By mouse, or by keyboard: Tab to a list, then up and down arrow.

    Parameters
    ----------
    brief : Brief, optional
        a rotor of 20 mm if not given
    fields : sequence of str
        what the lists offer, the first two to begin with
    points : sequence of (x, y, label)
        machines to show on the map of the first two, as in ``scaling.pictures.atlas.plot_atlas``
    merit, searched
        as in ``atlas``

    Returns
    -------
    AtlasExplorer
        the last line of a cell shows it; a reader without a kernel sees its map

    Raises
    ------
    TypeError, ValueError
        as ``choose``; for fewer than two fields, or one that is none of ``atlas``

    Examples
    --------
    >>> atlas_explorer(Brief(rotor_diameter="100 mm"), ("temperature_rise", "ambient"), searched=4).map.y_name
    'ambient'
    """
    brief = Brief(rotor_diameter="20 mm") if brief is None else brief
    check(brief, merit)
    if isinstance(fields, str) or len(fields) < 2:
        raise ValueError(f"fields: got {shorten(fields)}; expected at least two names of fields of Brief")
    fields = tuple(choice(name, numeric_fields(), "fields") for name in fields)
    return AtlasExplorer(brief, fields, {"merit": merit, "searched": searched}, points)


class AtlasExplorer(ipywidgets.VBox):
    """``controls`` names the widgets, ``map`` is the Atlas shown, ``words`` what it says."""

    def __init__(self, brief, fields, asked, points):
        self._brief, self._asked, self._points, self._kept = brief, asked, {fields[:2]: points}, {}
        listed = {"options": [(name.replace("_", " "), name) for name in fields], "style": NAMED, "layout": WIDE}
        pairs = zip("xy", fields, strict=False)
        self.controls = {axis: ipywidgets.Dropdown(description=axis, value=name, **listed) for axis, name in pairs}
        self.bar = ipywidgets.IntProgress(description="search", style=NAMED, layout=WIDE)
        self.image = ipywidgets.Image(layout={"width": "800px", "max_width": "100%"})
        self.readout = ipywidgets.HTML()
        self._show()
        for control in self.controls.values():
            control.observe(self._show, "value")
        super().__init__([_panel(self.controls | {"bar": self.bar}), self.image, self.readout])

    def _show(self, _change=None):
        """Draw the map of the fields listed; the same field twice is told, not raised."""
        pair = tuple(control.value for control in self.controls.values())
        try:
            if pair not in self._kept:
                made = atlas(self._brief, *pair, progress=self._tell, **self._asked)
                fig, ax = plots.figure()
                plot_atlas(ax, made, self._points.get(pair, ()))
                self._kept[pair] = made, plots.show(fig, alt=made.words)
            self.map, self.picture = self._kept[pair]
            self.image.value, self.words = self.picture.png, self.map.words
        except ValueError as error:
            self.words = str(error)
        self.readout.value = READOUT.format(html.escape(self.words))

    def _tell(self, done, total):
        self.bar.max, self.bar.value = total, done

    def _repr_mimebundle_(self, **kwargs):
        """Return the lists for a live notebook, and the map with the drawn data for every other reader."""
        still, metadata = self.picture._repr_mimebundle_()
        return super()._repr_mimebundle_(**kwargs) | still, metadata


def step_through(draw, values, *, words, alt, name="step", figsize=(8.0, 3.4), printed=(7.6, 4.6)):
    """Return a slider, buttons and play that step through pictures, one for each value.

    By mouse, or by keyboard: Tab to the slider, then left and right arrow; Tab to a button, then Enter. All are drawn
    at once, some 0.1 s each; then stepping takes no time. A reader without a kernel sees six of them side by side.

    Parameters
    ----------
    draw : callable
        ``draw(ax, value)`` draws the picture of a value on an empty Axes, as the functions of ``scaling.pictures`` do
    values : sequence
        at least two, such as instants
    words : sequence of str
        what each picture shows, in a few words
    alt : str
        what the pictures show to a reader who does not see them
    name : str
        of the slider
    figsize, printed : tuple
        size of a picture, and of the six side by side, in units of 100 pixels

    Returns
    -------
    Stepper
        the last line of a cell shows it

    Raises
    ------
    TypeError, ValueError
        if ``draw`` cannot be called; if there are fewer than two values, or not as many words

    Examples
    --------
    >>> stepper = step_through(
    ...     lambda ax, x: ax.plot([0, x], [0, 1]), [1.0, 2.0], words=["steep", "flat"], alt="a line that leans over")
    >>> stepper.controls["next"].click()
    >>> stepper.words
    'flat'
    """
    if not callable(draw):
        raise TypeError(f"draw: got {shorten(draw)}; expected a function that takes an Axes and a value")
    if len(values) < 2:
        raise ValueError(f"values: got {len(values)}; expected at least two to step through")
    if isinstance(words, str) or len(words) != len(values):
        raise ValueError(f"words: got {shorten(words)}; expected {len(values)} texts, one for each value")
    return Stepper(draw, values, words, alt, name, figsize, printed)


class Stepper(ipywidgets.VBox):
    """``controls`` names the widgets, ``words`` tells what the picture shows."""

    def __init__(self, draw, values, words, alt, name, figsize, printed):
        self._strip = lambda: strip(draw, values, words, figsize=printed)
        self._all_words, self._alt = words, alt
        self.frames = frames(draw, values, figsize=figsize, margins=STEP_MARGINS)
        last = len(values) - 1
        slider = ipywidgets.IntSlider(max=last, description=name, readout=False, layout=WIDE)
        play = ipywidgets.Play(max=last, interval=STEP_TIME)
        ipywidgets.jslink((play, "value"), (slider, "value"))
        back, on = (ipywidgets.Button(description=text, layout={"width": "7em"}) for text in ("previous", "next"))
        self.controls = {"slider": slider, "previous": back, "next": on, "play": play}
        self.image = ipywidgets.Image(layout={"width": f"{100 * figsize[0]:.0f}px", "max_width": "100%"})
        self.readout = ipywidgets.HTML()
        self._show()
        slider.observe(self._show, "value")
        back.on_click(lambda _: self._move(-1))
        on.on_click(lambda _: self._move(1))
        panel = ipywidgets.Box([slider, back, on, play], layout={"flex_flow": "row wrap", "max_width": "800px"})
        super().__init__([panel, self.image, self.readout])

    def _move(self, steps):
        slider = self.controls["slider"]
        slider.value = (slider.value + steps) % (slider.max + 1)

    def _show(self, _change=None):
        number = self.controls["slider"].value
        self.words = self._all_words[number]
        self.image.value = self.frames[number]
        self.readout.value = READOUT.format(f"{number + 1} of {len(self._all_words)}: {html.escape(self.words)}")

    def __repr__(self):
        return f"<Stepper at {self.words}>"

    def _repr_mimebundle_(self, **kwargs):
        """Return the widgets for a live notebook, and some pictures with the drawn data for every other reader."""
        still, metadata = plots.show(self._strip(), self._alt)._repr_mimebundle_()
        return super()._repr_mimebundle_(**kwargs) | still, metadata
