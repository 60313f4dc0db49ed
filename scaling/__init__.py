"""Which kind of electrical machine suits a given size, derived and evaluated from scaling laws."""

from importlib.metadata import PackageNotFoundError, version

from scaling.decision.brief import Brief
from scaling.decision.certainty import certainty
from scaling.decision.choose import choose
from scaling.decision.lists import read_briefs
from scaling.decision.size_for import size_for
from scaling.decision.sweep import sweep
from scaling.ground.units import Q
from scaling.laws.exponents import exponent

try:
    __version__ = version("scaling")  # as pyproject.toml says, where it is the only place
except PackageNotFoundError:  # run from its folder without being installed
    __version__ = "not installed"
__all__ = ["Brief", "Q", "certainty", "choose", "exponent", "read_briefs", "size_for", "sweep"]
