"""How much a watt of each loss warms the winding: what a heat budget multiplies the losses with."""

from dataclasses import dataclass

import numpy as np

from scaling.models.thermal_network import LOSSES
from scaling.models.thermal_parts import network


@dataclass(frozen=True)
class Warmth:
    """Mean rise of the winding for a watt of each loss, over that of the outside for a watt: 1 and more.

    Of a machine of one temperature all are 1.
    """

    winding: np.ndarray | float = 1.0
    core: np.ndarray | float = 1.0
    rotor: np.ndarray | float = 1.0
    friction: np.ndarray | float = 1.0


@dataclass(frozen=True)
class OverFrame:
    """Mean rise of a part over the frame for a watt of each loss [K/W]."""

    winding: np.ndarray
    core: np.ndarray
    rotor: np.ndarray
    friction: np.ndarray

    def warmth(self, coefficient, area):
        """Return the Warmth with a coefficient [W/m²/K] on an area of the outside."""
        passed = coefficient * area
        return Warmth(**{loss: 1.0 + getattr(self, loss) * passed for loss in LOSSES})


def over_frame(stator, speed):
    """Return the OverFrame of winding and rotor at a rotor's angular speed; None where all have one temperature."""
    paths = stator.heat_paths
    if paths is None:
        return None, None
    with np.errstate(invalid="ignore", divide="ignore"):
        found = network(paths, speed * stator.D / 2, 1.0)
        parts = found.over_frame("winding"), found.over_frame("rotor")
    shape = np.broadcast_shapes(np.shape(speed), stator.D.shape)
    return tuple(OverFrame(**{loss: np.broadcast_to(part[loss], shape) for loss in LOSSES}) for part in parts)
