"""Temperatures inside a machine: energy, symmetry, limits and time."""

from fractions import Fraction

import numpy as np
import pytest
from scipy.integrate import quad

from scaling.ground import materials
from scaling.models.thermal_network import FRICTION, LOSSES, NODES, SMALLEST, Network, Still, joined, taken_out
from scaling.models.thermal_parts import Machine, Made, capacities, inside, network
from scaling.models.thermal_transient import BODIES, TwoBodies, Warming, parts_of_two

# About a motor of 132 mm shaft height, four poles, and a tenth of it: lengths in m
BORE = np.array([0.125, 0.0125])
MACHINE = Machine(
    width=1.1 * BORE, bore=BORE, D=0.994 * BORE, clearance=0.003 * BORE, area=1.1 * np.pi * BORE**2,
    tau=np.pi * BORE / 4, slot_pitch=np.pi * BORE / np.array([36, 24]), slot_depth=0.15 * BORE, yoke=0.2 * BORE,
    outside=1.7 * BORE,
    outside_area=np.pi * 1.7 * BORE * (2.0 * BORE), overhang=0.3 * BORE, end_share=np.array([1.07, 1.07]),
    copper_share=0.2, tooth_share=0.5, stacking_factor=0.96, air=(0.028, 2e-5, 1.0), fluid=(0.028, 2e-5, 1.0),
)  # fmt: skip
WATTS = {"winding": 400.0, "core": 150.0, "rotor": 200.0, "friction": 40.0, "can": 25.0, "additional": 60.0}


@pytest.fixture(scope="module")
def motor():
    return network(inside(MACHINE), rim_speed=np.array([9.8, 0.98]), coefficient=40.0)


def residuals(net, losses, rises):
    """Return {node: heat that arises there less what flows off} [W], from the edges alone."""
    left = {node: 0.0 for node in NODES}
    for loss, watts in losses.items():
        for node, share in net.spread[loss].items():
            left[node] = left[node] + share * watts
    for (one, other), resistance in net.resistances.items():
        flow = (rises[one] - rises[other]) / np.maximum(resistance, SMALLEST)
        left[one], left[other] = left[one] - flow, left[other] + flow
    left["frame"] = left["frame"] - rises["frame"] / net.outside
    return left


def test_energy_closes(motor):
    rises = motor.rises(WATTS)
    for node, left in residuals(motor, WATTS, rises).items():
        assert left == pytest.approx(0.0, abs=1e-9 * sum(WATTS.values())), node
    assert rises["frame"] == pytest.approx(motor.outside * sum(WATTS.values()), rel=1e-14)


def test_weights_are_the_rises_and_symmetric(motor):
    weights = {part: motor.weights(part) for part in ("winding", "core", "rotor")}
    rises = motor.rises(WATTS)
    for part, own in weights.items():
        assert sum(own[loss] * WATTS[loss] for loss in LOSSES) == pytest.approx(rises[part], rel=1e-13)
        for other in weights:
            assert own[other] == pytest.approx(weights[other][part], rel=1e-14)
            assert np.all(own[other] ** 2 <= own[part] * weights[other][other] * (1 + 1e-14))
        assert all(np.all(weight >= motor.outside) for weight in own.values())


def test_heat_falls_along_its_way(motor):
    rises = motor.rises({"winding": 1.0})
    assert np.all(rises["slots"] > rises["yoke"]) and np.all(rises["yoke"] > rises["frame"])
    assert np.all(rises["ends"] > rises["slots"])
    assert np.all(motor.hot_spot(rises) > rises["ends"])
    hot = motor.rises({"rotor": 1.0})
    assert np.all(hot["rotor"] > hot["teeth"]) and np.all(hot["rotor"] > hot["air"])


def test_a_motor_as_it_is_known(motor):
    # Fan-cooled at 132 mm: winding 10 to 25 K over its frame, rotor 20 to 60 K over the winding (common practice).
    rises = {part: rise[0] for part, rise in motor.rises(WATTS).items()}
    assert 5 < rises["winding"] - rises["frame"] < 30
    assert 0 < rises["rotor"] - rises["winding"] < 80


def test_no_inner_resistance_is_one_temperature():
    for outside in (np.array([1e-9, 0.3, 1e9]), 0.3):
        plain = Network.of_one_temperature(outside)
        for part in ("winding", "core", "rotor"):
            for weight in plain.weights(part).values():
                assert weight == pytest.approx(outside, rel=1e-14)
        assert plain.hot_spot(plain.rises(WATTS)) == pytest.approx(outside * sum(WATTS.values()), rel=1e-14)


def test_a_perfect_inside_tends_to_one_temperature():
    made = Made(
        resin_conductivity=1e9, liner_conductivity=1e9, sheet_conductivity=1e12, shaft_conductivity=1e12,
        seat_film=1e-15, inner_air=1e12,
    )  # fmt: skip
    cold = network(inside(MACHINE, made), rim_speed=9.8, coefficient=40.0)
    for part in ("core", "rotor"):
        for weight in cold.weights(part).values():
            assert weight == pytest.approx(cold.outside, rel=1e-6)
    # The winding keeps the way along its own copper.
    assert cold.weights("winding")["core"] == pytest.approx(cold.outside, rel=1e-6)


def test_what_is_not_known_stays_unknown():
    bad = np.array([0.125, np.nan])
    found = network(inside(MACHINE.__class__(**vars(MACHINE) | {"slot_depth": 0.15 * bad})), 9.8, 40.0)
    for part in ("winding", "core", "rotor"):
        for weight in found.weights(part).values():
            assert np.isfinite(weight[0]) and np.isnan(weight[1])
    no_room = inside(MACHINE.__class__(**vars(MACHINE) | {"liner": 3e-3}))
    assert np.isnan(network(no_room, 9.8, 40.0).weights("winding")["winding"]).all()


# Exact arithmetic


def exact(edges, outside, heat):
    """Return {node: rise} by elimination in fractions."""
    nodes = [node for node in NODES if any(node in edge for edge in edges)]
    n = len(nodes)
    rows = [[Fraction(0)] * (n + 1) for _ in nodes]
    for (one, other), resistance in edges.items():
        i, j, conductance = nodes.index(one), nodes.index(other), 1 / Fraction(resistance)
        for a, b in ((i, j), (j, i)):
            rows[a][a] += conductance
            rows[a][b] -= conductance
    rows[nodes.index("frame")][nodes.index("frame")] += 1 / Fraction(outside)
    for node, watts in heat.items():
        rows[nodes.index(node)][n] += Fraction(watts)
    for i in range(n):
        pivot = next(row for row in range(i, n) if rows[row][i])
        rows[i], rows[pivot] = rows[pivot], rows[i]
        rows[i] = [value / rows[i][i] for value in rows[i]]
        for j in range(n):
            if j != i:
                rows[j] = [a - rows[j][i] * b for a, b in zip(rows[j], rows[i], strict=True)]
    return {node: rows[i][n] for i, node in enumerate(nodes)}


STILL_EDGES = (
    ("slots", "teeth"), ("slots", "yoke"), ("slots", "ends"), ("teeth", "yoke"), ("yoke", "frame"), ("rotor", "frame"),
)  # fmt: skip
MOVED_EDGES = (("ends", "air"), ("rotor", "air"), ("air", "frame"), ("rotor", "teeth"))


@pytest.mark.parametrize("seed", range(8))
def test_any_ratio_of_resistances_keeps_the_digits(seed):
    # From 1e-12 to 1e12 K/W beside each other, against fractions.
    rng = np.random.default_rng(seed)
    drawn = {edge: float(10 ** rng.uniform(-12, 12)) for edge in (*STILL_EDGES, *MOVED_EDGES)}
    still = Still({edge: drawn[edge] for edge in STILL_EDGES}, end_share=0.375, tooth_loss_share=0.625)
    found = Network(still, {edge: drawn[edge] for edge in MOVED_EDGES}, outside=0.5).rises(WATTS)
    heat = {node: 0 for node in NODES}
    for loss, watts in WATTS.items():
        for node, share in (still.spread | {"friction": FRICTION})[loss].items():
            heat[node] += Fraction(watts) * Fraction(share)
    for node, rise in exact(drawn, 0.5, heat).items():
        assert found[node] == pytest.approx(float(rise), rel=1e-13), node


def test_star_to_mesh_keeps_what_is_seen_between_two_nodes():
    edges = {("a", "m"): 1.0, ("b", "m"): 2.0, ("c", "m"): 3.0, ("a", "b"): 4.0}
    left = joined({}, edges)
    total, shares = taken_out(left, "m")
    assert total == pytest.approx(1 + 1 / 2 + 1 / 3)
    assert sum(shares.values()) == pytest.approx(1.0)
    assert 1 / left["a"]["c"] == pytest.approx(1.0 * 3.0 * total)
    assert left["a"]["b"] == pytest.approx(1 / 4 + 1 / (1.0 * 2.0 * total))


# In time


@pytest.fixture(scope="module")
def warming(motor):
    return Warming(motor, capacities(MACHINE))


def test_capacities_are_those_of_the_weights():
    found = capacities(MACHINE)
    copper = 0.2 * MACHINE.slot_depth * MACHINE.area * 8960 * materials.COPPER_HEAT_CAPACITY
    density = materials.CONDUCTORS["copper"].density
    assert found["slots"] == pytest.approx(copper * density / 8960)
    assert found["ends"] == pytest.approx(1.07 * found["slots"])
    assert set(found) == set(BODIES)


def test_the_end_is_the_steady_state(motor, warming):
    end = warming.step(WATTS, [80 * warming.time_constants.max()])
    for part, rise in motor.rises(WATTS).items():
        assert end[part][..., 0] == pytest.approx(rise, rel=1e-9), part


def test_energy_balance_in_time(warming):
    # What came in is held, or has left by the frame.
    for i in range(2):
        for until in (1.0, 60.0, 3600.0):
            at = warming.step(WATTS, [until])
            held = sum(warming.capacities[i, b] * at[body][i, 0] for b, body in enumerate(BODIES))
            left, _ = quad(lambda t, i=i: warming.step(WATTS, [t])["frame"][i, 0], 0.0, until, epsrel=1e-10, limit=200)
            outside = np.broadcast_to(warming.network.outside, 2)[i]
            assert held + left / outside == pytest.approx(sum(WATTS.values()) * until, rel=1e-7)


def test_a_short_time_warms_the_copper_alone(warming):
    watts = 100.0
    copper = warming.capacities[:, BODIES.index("slots")] + warming.capacities[:, BODIES.index("ends")]
    time = 1e-4 * warming.time_constants.min()
    rises = warming.step({"winding": watts}, [time])
    assert rises["winding"][:, 0] == pytest.approx(watts * time / copper, rel=1e-3)
    assert np.all(rises["yoke"][:, 0] < 1e-3 * rises["winding"][:, 0])


def test_steps_follow_one_another(warming):
    first = warming.step(WATTS, [100.0])
    then = warming.step(WATTS, [200.0], start={body: first[body][..., 0] for body in BODIES})
    for part, rise in warming.step(WATTS, [300.0]).items():
        assert then[part] == pytest.approx(rise, rel=1e-9), part


def test_a_machine_of_one_temperature_has_one_time_constant():
    plain = Network.of_one_temperature(0.5)
    hot = Warming(plain, dict.fromkeys(BODIES, np.array(10.0)))
    time = 10.0 * len(BODIES) * 0.5
    assert hot.time_constants[..., 0] == pytest.approx(time, rel=1e-5)  # none is 1e-9 of the outside's: stiff
    rise = hot.step({"winding": 2.0}, [time])["winding"]
    assert rise == pytest.approx(1.0 * (1 - np.exp(-1)), rel=1e-6)


def test_machines_that_are_unknown_do_not_spoil_others():
    bad = {name: value for name, value in capacities(MACHINE).items()}
    bad["yoke"] = np.array([bad["yoke"][0], np.nan])
    found = Warming(network(inside(MACHINE), 9.8, 40.0), bad).step(WATTS, [60.0])["winding"]
    assert np.isfinite(found[0, 0]) and np.isnan(found[1, 0])


# Two bodies


def of_two_bodies(inner, outside):
    """Return the network of a winding over a resistance to all the rest, which has one temperature."""
    edges = {("slots", "teeth"): inner, ("teeth", "yoke"): 0.0, ("yoke", "frame"): 0.0, ("slots", "ends"): 0.0}
    still = Still(edges, end_share=0.4, tooth_loss_share=0.5)
    return Network(still, {("rotor", "teeth"): 0.0, ("air", "frame"): 0.0}, outside)


HELD = {"slots": 600.0, "ends": 400.0, "teeth": 3e3, "yoke": 5e3, "rotor": 4e3, "frame": 2e3}  # J/K


def two_bodies(made):
    """Return the two bodies of a `Warming`."""
    capacity = dict(zip(BODIES, np.moveaxis(made.capacities, -1, 0), strict=True))
    network = made.network
    return TwoBodies.of(parts_of_two(network, capacity), network.over_frame("winding")["winding"], network.outside)


@pytest.fixture(scope="module")
def pair():
    made = Warming(of_two_bodies(0.06, 0.1), {node: np.array(value) for node, value in HELD.items()})
    return made, two_bodies(made)


def test_two_bodies_where_there_are_two(pair):
    made, bodies = pair
    assert bodies.C_w == pytest.approx(1000.0) and bodies.C_r == pytest.approx(14e3)
    assert bodies.R_w == pytest.approx(0.06, rel=1e-9) and bodies.R_r == pytest.approx(0.1, rel=1e-9)
    times = np.array([0.1, 10.0, 60.0, 600.0, 3600.0])
    own, other = bodies.winding_rise(times)
    assert own == pytest.approx(made.step({"winding": 1.0}, times)["winding"], rel=1e-5)
    assert other == pytest.approx(made.step({"core": 1.0}, times)["winding"], rel=1e-5)


def test_a_cycle_is_what_many_cycles_come_to(pair):
    made, bodies = pair
    work, pause = 120.0, 300.0
    for loss, watts in (
        ("winding", bodies.winding_rise(work, pause)[0]),
        ("core", bodies.winding_rise(work, pause)[1]),
    ):
        start = {body: 0.0 for body in BODIES}
        for _ in range(60):
            hot = made.step({loss: 1.0}, [work], start)
            cold = made.step({loss: 0.0}, [pause], {body: hot[body][..., 0] for body in BODIES})
            start = {body: cold[body][..., 0] for body in BODIES}
        assert hot["winding"][..., 0] == pytest.approx(watts, rel=1e-5)


def test_continuous_duty_is_a_long_step(pair):
    _, bodies = pair
    own, other = bodies.winding_rise(1e9)
    assert own == pytest.approx(0.16, rel=1e-9) and other == pytest.approx(0.1, rel=1e-9)
    without, _ = bodies.winding_rise(50.0, 0.0 + 1e-9)  # no pause to speak of
    assert without == pytest.approx(0.16, rel=1e-6)


def test_two_bodies_at_both_ends_of_time(pair):
    _, bodies = pair
    own, other = bodies.winding_rise(1e-3)
    assert own == pytest.approx(1e-3 / 1000.0, rel=1e-4)  # copper alone
    assert other == pytest.approx(1e-6 / (2 * 14e3 * 1000.0 * 0.06), rel=1e-2)  # it follows the rest, squared
    slow, fast = bodies.time_constants
    assert slow > 14e3 * 0.1 and fast < 1000.0 * 0.06


def test_a_winding_at_one_with_the_rest_is_one_body():
    whole = TwoBodies(C_w=1000.0, C_r=14e3, R_w=0.0, R_r=0.1)
    own, _ = whole.winding_rise(700.0)
    assert own == pytest.approx(0.1 * (1 - np.exp(-700.0 / 1500.0)), rel=1e-6)


def test_two_bodies_of_a_motor_near_its_network(warming):
    # Seven bodies or two: within a tenth of the steady rise at any time, the end exact.
    bodies, times = two_bodies(warming), np.array([1.0, 30.0, 300.0, 1800.0, 1e6])
    exactly = warming.step({"winding": 1.0}, times)["winding"]
    for i in range(2):
        one = TwoBodies(*(value[i] for value in (bodies.C_w, bodies.C_r, bodies.R_w, bodies.R_r)))
        own, _ = one.winding_rise(times)
        assert own == pytest.approx(exactly[i], abs=0.1 * exactly[i, -1])
        assert own[-1] == pytest.approx(exactly[i, -1], rel=1e-6)
