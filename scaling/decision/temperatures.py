"""How warm the parts of a design are."""

import numpy as np

from scaling.models.thermal_network import Network
from scaling.models.thermal_parts import network


def network_of(point):
    """Return the thermal network of an operating point; gap and inner air move as at no slip."""
    stator, h = point.stator, point.fed.heat_coefficient
    if stator.heat_paths is None:
        return Network.of_one_temperature(1.0 / (h * stator.outside_area))
    return network(stator.heat_paths, point.fed.field_speed / stator.lever * stator.D / 2, h)


def rises(point):
    """Return {part: rise over the coolant} [K]: nodes of the network, winding and core (means), and "hot spot".

    They are those at the end of the time at work, as far as one time constant says so.
    """
    losses = {name: loss / point.fed.overload for name, loss in point.losses.items()}
    with np.errstate(invalid="ignore", divide="ignore"):
        found = network_of(point)
        return found.rises(losses) | {"hot spot": found.hot_spot(losses)}


def rotor_rise(point):
    """Return the rise of the rotor over the coolant, as `rises` has it, without the other parts [K]."""
    fed, losses = point.fed, point.losses
    outside = 1.0 / (fed.heat_coefficient * point.stator.outside_area)
    each = (outside + (0.0 if fed.rotor is None else getattr(fed.rotor, name)) for name in losses)
    return sum(loss * rise for loss, rise in zip(losses.values(), each, strict=True)) / fed.overload
