"""Which kind of electrical machine suits a given size, derived and evaluated from scaling laws."""

from importlib.metadata import PackageNotFoundError, version

from scaling.decision.atlas import atlas
from scaling.decision.brief import Brief
from scaling.decision.certainty import certainty
from scaling.decision.choose import choose
from scaling.decision.lists import choose_each, read_briefs
from scaling.decision.saved import WRITERS
from scaling.decision.size_for import size_for
from scaling.decision.sweep import sweep
from scaling.ground.units import Q
from scaling.laws.exponents import exponent

try:
    __version__ = version("scaling")  # as pyproject.toml says, where it is the only place
except PackageNotFoundError:  # run from its folder without being installed
    __version__ = "not installed"
__all__ = [
    "Brief",
    "Q",
    "atlas",
    "certainty",
    "choose",
    "choose_each",
    "exponent",
    "read_briefs",
    "size_for",
    "sweep",
]


def _save(answer, path, **options):
    """Write an answer as a page; figures are loaded at the first page only."""
    from scaling.interface import page

    page.save(answer, path, version=__version__, **options)


WRITERS["answer"] = _save
