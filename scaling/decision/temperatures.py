"""How warm the parts of a design are, at the end of the time at work that the brief's duty leaves."""

import numpy as np

from scaling.machines.warmth import GOES_ON, times
from scaling.models.thermal_network import Network
from scaling.models.thermal_parts import capacities, network
from scaling.models.thermal_transient import Warming


def network_of(point):
    """Return the thermal network of an operating point; gap and inner air move as at no slip."""
    stator, h = point.stator, point.fed.heat_coefficient
    if stator.heat_paths is None:
        return Network.of_one_temperature(1.0 / (h * stator.outside_area))
    return network(stator.heat_paths, point.fed.field_speed / stator.lever * stator.D / 2, h)


def rises(point):
    """Return {part: rise over the coolant} [K]: nodes of the network, winding and core (means), and "hot spot".

    In a duty that is not continuous they are those of the network in time, where the heat budget has two bodies.
    """
    si, losses = point.si, point.heats
    with np.errstate(invalid="ignore", divide="ignore"):
        found = network_of(point)
        if point.fed.inside is None:
            warm = found.rises({name: loss * getattr(point.fed.warmth, name) for name, loss in losses.items()})
        elif si.duty == "S1":
            warm = found.rises(losses)
        else:
            held = GOES_ON if si.duty == "S6" else ()
            warming = Warming(found, capacities(point.stator.heat_paths.machine))
            warm = warming.cycle(losses, *times(si), goes_on=held)
        return warm | {"hot spot": found.hot_spot(warm)}


def winding_rise(point):
    """Return the mean rise of the winding over the coolant, as the heat budget has it [K]."""
    return _rise(point, point.fed.warmth)


def rotor_rise(point):
    """Return the mean rise of the rotor over the coolant, which warms as all but the winding does [K]."""
    return _rise(point, point.fed.rotor_warmth)


def _rise(point, warmth):
    """Return the rise that the losses make, each as much as it warms a part [K]."""
    outside = 1.0 / (point.fed.heat_coefficient * point.stator.outside_area)  # K/W
    return sum(loss * getattr(warmth, name) for name, loss in point.heats.items()) * outside
