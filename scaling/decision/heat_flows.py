"""Where the heat of a chosen design goes: watts between the nodes of its thermal network."""

from typing import NamedTuple

import numpy as np

from scaling.decision.curve import remade
from scaling.decision.temperatures import network_of
from scaling.models.thermal_network import LOSSES, NODES

COOLANT = "coolant"


class HeatFlows(NamedTuple):
    """Where the heat of a design goes: {node: rise [K]}, {(from, to): watts}, {node: {loss: watts that arise there}}.

    Nodes are those of `scaling.models.thermal_network.NODES` and the coolant.
    """

    rises: dict
    flows: dict
    losses: dict


def heat_flows(choice, kind):
    """Return the HeatFlows of a chosen design in continuous duty.

    The heat of an edge is the drop across it over its resistance, from the warmer node to the cooler. All heat leaves
    over ("frame", "coolant").

    Raises
    ------
    TypeError, KeyError, ValueError
        as ``scaling.decision.curve.remade``; if the duty is not continuous, or the machine has one temperature

    Examples
    --------
    >>> from scaling import Brief, choose
    >>> found = heat_flows(choose(Brief(rotor_diameter="20 mm")), "induction")
    >>> round(found.rises["coolant"]), max(found.flows, key=found.flows.get)
    (0, ('frame', 'coolant'))
    """
    point = remade(choice, kind)
    if point.si.duty != "S1" or point.stator.heat_paths is None:
        raise ValueError(
            f"choice: got duty={point.si.duty!r}, temperature_drop={point.si.temperature_drop!r}; expected a choice of "
            "a brief with duty='S1', where no part stores heat, and temperature_drop='as built'"
        )
    network, watts = network_of(point), {loss: _number(value) for loss, value in point.heats.items()}
    rises = {node: _number(rise) for node, rise in network.rises(watts).items()} | {COOLANT: 0.0}
    flows = {}
    for (one, other), resistance in (network.resistances | {("frame", COOLANT): network.outside}).items():
        passed = (rises[one] - rises[other]) / _number(resistance)
        flows[(one, other) if passed >= 0 else (other, one)] = abs(passed)
    losses = {node: {} for node in (*NODES, COOLANT)}
    for loss in LOSSES:
        for node, share in network.spread[loss].items():
            losses[node][loss] = watts[loss] * _number(share)
    return HeatFlows({node: rises[node] for node in (*NODES, COOLANT)}, flows, losses)


def _number(array):
    return np.asarray(array).item()
