"""Temperatures inside a machine in steady state: a network of seven nodes, solved in arrays of any shape, SI.

Slots and end turns of the winding, teeth and yoke of the core, frame, rotor and inner air stand against the coolant;
all heat leaves by the frame. So every rise is that of the outside, all losses times its resistance, and an inner part
that does not depend on the outside. Nodes are taken out one by one (star to mesh), and what enters a node goes on to
its neighbours in the shares of its conductances: only sums of positive numbers, hence exact to rounding whatever the
ratio of the resistances.
"""

import functools

import numpy as np

STILL = ("slots", "yoke")  # in the order they are taken out: what touches them does not depend on speed
MOVED = ("air", "teeth", "ends", "rotor")
NODES = (*STILL, *MOVED, "frame")
LOSSES = ("winding", "core", "rotor", "friction", "can", "additional")
ADDITIONAL = {"teeth": 0.5, "rotor": 0.5}  # of harmonics, in the surfaces at the gap: common practice, no source
FRICTION = {"rotor": 0.5, "frame": 0.5}  # of bearings: half in their inner rings, half in their outer; so of the air
SMALLEST = 1e-60  # K/W, stands for no resistance


def joined(found, resistances):
    """Return {node: {neighbour: conductance}} with more of {(node, node): resistance}, one for each pair of nodes."""
    found = {node: dict(around) for node, around in found.items()}
    for (one, other), resistance in resistances.items():
        conductance = 1.0 / np.maximum(resistance, SMALLEST)
        found.setdefault(one, {})[other] = found.setdefault(other, {})[one] = conductance
    return found


def taken_out(found, node):
    """Take a node out of {node: {neighbour: conductance}}; return (its total, {neighbour: share of its heat})."""
    around = found.pop(node)
    total = functools.reduce(np.add, around.values())
    shares = {other: conductance / total for other, conductance in around.items()}
    rest = list(around)
    for i, one in enumerate(rest):
        del found[one][node]
        for other in rest[i + 1 :]:
            more = around[one] * shares[other]
            found[one][other] = found[other][one] = found[one][other] + more if other in found[one] else more
    return total, shares


def _sent_on(heat, node, shares):
    """Return {node: heat} with what enters a node sent on to its neighbours as well; the frame takes all at last."""
    if node not in heat:
        return heat
    more = {other: heat[node] * share for other, share in shares.items() if other != "frame"}
    return heat | {other: heat[other] + value if other in heat else value for other, value in more.items()}


class Still:
    """What of a network does not depend on speed: {(node, node): resistance} [K/W], and where losses arise.

    ``end_share`` is the end turns' of the conductor, ``tooth_loss_share`` the teeth's of the core loss; ``slab_share``,
    the slab's of the way from winding to teeth, and ``turn_share``, the end turns' of that to the slots, serve the hot
    spot alone.
    """

    def __init__(self, resistances, *, end_share, tooth_loss_share, slab_share=0.0, turn_share=0.0):
        self.resistances, self.slab_share, self.turn_share = resistances, slab_share, turn_share
        self.spread = {  # of every loss over the nodes; also how the mean rise of its part is taken
            "winding": {"slots": 1.0 - end_share, "ends": end_share},
            "core": {"teeth": tooth_loss_share, "yoke": 1.0 - tooth_loss_share},
            "rotor": {"rotor": 1.0},
            "friction": FRICTION,
            "can": {"teeth": 1.0},
            "additional": ADDITIONAL,
        }
        self.left = joined({}, resistances)
        self.steps = [(node, *taken_out(self.left, node)) for node in STILL]
        self.heats = dict(self.spread)
        for node, _, shares in self.steps:
            self.heats = {loss: _sent_on(heat, node, shares) for loss, heat in self.heats.items()}
        self._passed = {}

    def passed(self, one, other):
        """Return what the nodes of STILL add to the rise of one part over a watt of another [K/W]."""
        pair = frozenset((one, other))
        if pair not in self._passed:
            self._passed[pair] = _products(self.steps, self.heats[one], self.heats[other])
        return self._passed[pair]


def _products(steps, one, other):
    """Return the sum over nodes of both heats over the node's conductance: the rise of one over the frame by other."""
    return sum(one[node] * other[node] / total for node, total, _ in steps if node in one and node in other)


class Network:
    """The thermal network of machines: ``Still``, {(node, node): resistance} of gap and inner air, and the outside's.

    Resistances in K/W, arrays of any shapes that broadcast.
    """

    def __init__(self, still, moved, outside):
        self.still, self.outside, self.spread = still, outside, still.spread
        self.resistances = still.resistances | moved
        left = joined(still.left, moved)
        self._steps = [(node, *taken_out(left, node)) for node in MOVED]

    @classmethod
    def of_one_temperature(cls, outside):
        """Return the network without inner resistance: a coefficient that counts from winding to coolant."""
        edges = (("slots", "ends"), ("slots", "teeth"), ("teeth", "yoke"), ("yoke", "frame"))
        still = Still(dict.fromkeys(edges, 0.0), end_share=0.5, tooth_loss_share=0.5)
        return cls(still, dict.fromkeys((("rotor", "teeth"), ("air", "frame")), 0.0), outside)

    @functools.cached_property
    def _heats(self):
        """{loss: {node: heat that enters it}} once the nodes before it are taken out."""
        heats = self.still.heats
        for node, _, shares in self._steps:
            heats = {loss: _sent_on(heat, node, shares) for loss, heat in heats.items()}
        return heats

    def weights(self, part):
        """Return {loss: rise of a part over one watt of it} [K/W]; "winding", "core" or "rotor": its mean.

        The rise of the part is the sum over weights times losses. They are symmetric: the winding's for a watt of the
        rotor is the rotor's for a watt of the winding.
        """
        return {loss: self.outside + inner for loss, inner in self.over_frame(part).items()}

    def over_frame(self, part):
        """Return the same of the part's rise over the frame, which does not depend on the outside [K/W]."""
        own = self._heats[part]
        return {
            loss: self.still.passed(part, loss) + _products(self._steps, own, heat)
            for loss, heat in self._heats.items()
        }

    def above_frame(self, loss):
        """Return {node: rise over the frame} for one watt of a loss."""
        heat, rise = self._heats[loss], {"frame": 0.0}
        for node, total, shares in reversed(self.still.steps + self._steps):
            passed = sum(share * rise[other] for other, share in shares.items() if other != "frame")
            rise[node] = passed + heat[node] / total if node in heat else passed
        return rise

    def rises(self, losses):
        """Return {part: rise over the coolant} for {loss: watts} [K]: every node, "winding" and "core" (means)."""
        total = sum(losses.values())
        found = {node: self.outside * total for node in NODES}
        for loss, watts in losses.items():
            for node, rise in self.above_frame(loss).items():
                found[node] = found[node] + rise * watts
        for part in ("winding", "core"):
            found[part] = sum(share * found[node] for node, share in self.spread[part].items())
        return found

    def hot_spot(self, rise):
        """Return the largest rise of the winding for {part: rise} [K].

        It lies in the middle of a slot, half as far again over the slab's surface as the mean, or in that of an end
        turn, half as far again over the core's face.
        """
        still = self.still
        in_slot = rise["slots"] + still.slab_share * (rise["slots"] - rise["teeth"]) / 2
        in_end = rise["ends"] + still.turn_share * (rise["ends"] - rise["slots"]) / 2
        return np.maximum(in_slot, in_end)
