"""Which kind of electrical machine suits a given size, derived and evaluated from scaling laws."""

from scaling.decision.brief import Brief
from scaling.decision.certainty import certainty
from scaling.decision.choose import choose
from scaling.decision.lists import read_briefs
from scaling.decision.sweep import sweep
from scaling.ground.units import Q
from scaling.laws.exponents import exponent

__version__ = "0.1.0"
__all__ = ["Brief", "Q", "certainty", "choose", "exponent", "read_briefs", "sweep"]
