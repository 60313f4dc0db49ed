"""A finished figure as SVG that stands inside a page: no file beside it, no font, no identifier that is not its own."""

import io
import itertools
import re
from html import escape

import numpy as np

from scaling.pictures import plots

DECIMALS = 2  # of a coordinate in points: 4 µm on paper
STRAIGHT = 0.03  # points: how far what is left out of a line may lie beside it
EDGE = 3.0  # points beyond the figure from which on nothing is seen, lines have a width
_POINTS = re.compile(r"(?:[ML] -?[0-9.]+ -?[0-9.]+ ?\n?){3,}")
_DOT = re.compile(r"M -?[0-9.]+ -?[0-9.]+\s+(?:C(?: -?[0-9.]+){6}\s+){8}z")
_POINT = re.compile(r"([ML]) (-?[0-9.]+) (-?[0-9.]+)")
_SIZE = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
_DEFS = re.compile(r"(<defs>.*?</defs>)", re.DOTALL)
_HEAD = re.compile(r"^.*?(?=<svg)|<metadata>.*?</metadata>|<defs>\s*<style.*?</defs>|<!--.*?-->", re.DOTALL)


def vector(fig, alt, name):
    """Return the figure as an SVG element and close it.

    Parameters
    ----------
    fig : matplotlib Figure
    alt : str
        what it shows, to a reader who does not see it
    name : str
        of one word, the figure's own within the page: its identifiers begin with it
    """
    buffer = io.StringIO()
    with plots.plt.rc_context({"svg.fonttype": "path", "svg.hashsalt": "scaling"}):
        fig.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
    plots.plt.close(fig)
    text = _HEAD.sub("", buffer.getvalue())
    width, height = map(float, _SIZE.search(text).groups())
    parts = _DEFS.split(text)  # what is defined there, letters and hatches, has coordinates of its own
    parts[::2] = [_POINTS.sub(lambda match: _fewer(match, width, height), part) for part in parts[::2]]
    parts[1::2] = [_DOT.sub(_circle, part) for part in parts[1::2]]
    text = "".join(parts)
    text = re.sub(r"\n\s*", "\n", _own_names(text, name))
    label = f' role="img" aria-label="{escape(alt)}"'
    return re.sub(r'<svg([^>]*?) width="[^"]*" height="[^"]*"', rf"<svg{label}\1", text, count=1).strip()


def _circle(match):
    """Return a hatch's dot, eight curves, as two arcs."""
    numbers = [float(number) for number in re.findall(r"-?[0-9.]+", match[0])]
    (x, y), (across, down) = numbers[:2], (numbers[2 + 6 * 4 - 2] - numbers[0], numbers[2 + 6 * 4 - 1] - numbers[1])
    r = round((across**2 + down**2) ** 0.5 / 2, DECIMALS)
    arc = f"a{r:g} {r:g} 0 1 0"
    return f"M{round(x, DECIMALS):g} {round(y, DECIMALS):g}{arc} {across:g} {down:g}{arc} {-across:g} {-down:g}z"


def _fewer(match, width, height):
    """Return a path's run of points without those that hardly bend it, and those that nobody sees."""
    words, points = [], []
    for word, x, y in _POINT.findall(match[0]):
        words.append(word)
        points.append((round(float(x), DECIMALS) + 0.0, round(float(y), DECIMALS) + 0.0))
    starts = [i for i, word in enumerate(words) if word == "M" or i == 0] + [len(words)]
    parts = []
    for start, end in itertools.pairwise(starts):
        kept = _bends(_seen(points[start:end], width, height))
        parts += [f"{word}{x:g} {y:g}" for word, (x, y) in zip([words[start]] + ["L"] * len(kept), kept, strict=False)]
    return "".join(parts)


def _seen(points, width, height):
    """Return points without those that lie, with both neighbours, beyond the same edge of the figure."""
    sides = [(x < -EDGE, x > width + EDGE, y < -EDGE, y > height + EDGE) for x, y in points]
    kept, last = [], None
    for i, point in enumerate(points):
        inner = 0 < i < len(points) - 1
        if inner and any(a and b and c for a, b, c in zip(sides[last], sides[i], sides[i + 1], strict=True)):
            continue
        kept.append(point)
        last = i
    return np.array(kept)


def _bends(points):
    """Return points without those that lie within STRAIGHT of the line through the others (Douglas and Peucker)."""
    keep, stack = {0, len(points) - 1}, [(0, len(points) - 1)]
    while stack:
        first, last = stack.pop()
        if last - first < 2:
            continue
        inner, way = points[first + 1 : last] - points[first], points[last] - points[first]
        length2 = float(way @ way)
        along = np.clip(inner @ way / length2, 0.0, 1.0) if length2 > 0.0 else np.zeros(len(inner))
        aside = np.hypot(*(inner - along[:, None] * way).T)
        farthest = int(aside.argmax())
        if aside[farthest] > STRAIGHT:
            middle = first + 1 + farthest
            keep.add(middle)
            stack += [(first, middle), (middle, last)]
    return points[sorted(keep)]


def _own_names(text, name):
    """Return the text with the figure's name before every identifier that is referred to, and without all others."""
    referred = set(re.findall(r'(?:href="#|url\(#)([^")]+)', text))
    text = re.sub(r' id="([^"]+)"', lambda m: f' id="{name}-{m[1]}"' if m[1] in referred else "", text)
    return re.sub(r'(href="#|url\(#)', rf"\g<1>{name}-", text)
