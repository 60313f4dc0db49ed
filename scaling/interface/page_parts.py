"""What a page is made of, whatever it is written as: sections of words, lists, tables and figures."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    text: str


@dataclass(frozen=True)
class Bullets:
    """A list of sentences."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table of texts; every heading of numbers, above or on the left, names their unit."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Figure:
    """A picture, what it shows in words, and the words under it; ``draw`` makes its SVG, which a text does without."""

    draw: Callable[[], str]
    alt: str
    caption: str


@dataclass(frozen=True)
class Section:
    """A part of a page with a heading.

    Where there is room a ``half`` stands beside its neighbour, and the blocks of a ``pair`` beside each other; what is
    ``small`` is so on paper.
    """

    heading: str
    blocks: tuple
    half: bool = False
    pair: bool = False
    small: bool = False


@dataclass(frozen=True)
class Page:
    """A page: its title, the answer in a few (name, text), sentences on it, its sections, and a line at its foot."""

    title: str
    facts: tuple[tuple[str, str], ...]
    reason: str
    remarks: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: str = ""
