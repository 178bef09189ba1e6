"""Circuits of 12 V lights from where they stand: the shortest tree, the voltage at each, kept while nothing moves."""

from dataclasses import replace
from itertools import pairwise
from math import hypot, pi
from random import Random

import numpy as np
import pytest
from scipy.sparse.csgraph import minimum_spanning_tree, shortest_path
from scipy.spatial.distance import cdist

from app.domain.job import RunKind
from app.domain.takeoff.cable_network import Network
from app.domain.takeoff.cable_ways import line_through, may_be_followed
from app.domain.takeoff.light_circuits import circuits, followed, lights_of, networks_of
from app.domain.takeoff.light_tree import TRANSFORMER, Strung, strung
from tests.plans.yards import basis, empty, with_feature, with_run


def lit(*places: tuple[float, float], source: tuple[float, float] = (0, 0), recipe: str = "path-light", **more):
    job = with_feature(empty(), "box", "light-transformer", x=source[0], y=source[1])
    for number, (x, y) in enumerate(places, 1):
        job = with_feature(job, f"L{number}", recipe, x=x, y=y, **more)
    return job


def test_tree_is_as_short_as_the_shortest_by_another_way():
    # reference: scipy's minimum spanning tree over all distances
    random, book = Random(7), basis()
    for count in (1, 2, 5, 23, 40):
        places = [(random.uniform(0, 120), random.uniform(0, 60)) for _ in range(count)]
        legs = strung(lights_of(lit(*places), book), Strung(loads=[1.0] * count))
        apart = cdist(np.array([(0, 0), *places]), np.array([(0, 0), *places]))
        assert len(legs) == count
        assert sum(one.long for one in legs) == pytest.approx(minimum_spanning_tree(apart).sum())


def test_no_cable_that_leaves_a_transformer_carries_more_than_its_bound_and_none_is_longer_than_by_itself():
    random, book = Random(11), basis(light_run_load=25)  # four lights of 5.48 VA
    places = [(random.uniform(0, 120), random.uniform(0, 60)) for _ in range(30)]
    circuit = circuits(lit(*places), book)[0]
    runs: dict[str, list[str]] = {}
    for one in circuit.fed:
        start, own = one.leg.start.feature.title, one.leg.end.feature.title
        run = next((of for of, held in runs.items() if start in held), own)
        runs.setdefault(run, []).append(own)
    assert all(len(held) <= 4 for held in runs.values())
    assert sum(map(len, runs.values())) == 30
    assert sum(one.leg.long for one in circuit.fed) < sum(hypot(*place) for place in places)


def test_every_leg_begins_at_what_is_fed_already_and_goes_to_the_nearer_transformer():
    job = with_feature(lit((10, 0), (90, 0)), "second", "light-transformer", x=100.0, y=0.0)
    book = basis()
    near, far = circuits(job, book)
    assert [one.leg.end.feature.title for one in near.fed] == ["L1"]
    assert [one.leg.end.feature.title for one in far.fed] == ["L2"]
    chain = circuits(lit((10, 0), (20, 0), (30, 0)), book)[0]
    assert [one.leg.start.feature.title for one in chain.fed] == ["box", "L1", "L2"]
    assert [one.steps for one in chain.fed] == [1, 2, 3]


def test_voltage_at_the_end_is_what_ohm_says_for_both_conductors():
    # one light of 4 W at 0.73, 100 ft of 12 gauge with 2 ft of slack: I = 4 / 0.73 / V, V = 12 − 2 · 102 ft · R · I,
    # a quadratic in V; R of 12 gauge stranded at 75 °C is 1.98 ohm/1,000 ft (NFPA 70 ch. 9 table 8), at 20 °C by note 2
    circuit = circuits(lit((100, 0)), basis())[0]
    ohms = 2 * 102 * 1.98 * (1 + 0.00323 * (20 - 75)) / 1000
    volts = (12 + (144 - 4 * ohms * 4 / 0.73) ** 0.5) / 2
    assert circuit.lowest == pytest.approx(volts, abs=1e-9)
    assert circuit.load == pytest.approx(4 / 0.73)
    assert circuit.cable == 102


def test_several_alike_at_one_place_count_as_so_many():
    circuit = circuits(lit((20, 0), count=3), basis())[0]
    assert circuit.lights == 3
    assert circuit.load == pytest.approx(3 * 4 / 0.73)


def test_circuit_that_cannot_work_says_so_and_none_without_transformer():
    job = lit(*[(1500 + 50 * place, 0) for place in range(12)])
    circuit = circuits(job, basis())[0]
    assert circuit.lowest is None
    assert "half of the voltage" in circuit.refused
    assert str(job.features[1].id) not in circuit.refused
    alone = replace(job, works=tuple(one for one in job.works if one.assembly != "light-transformer"))
    assert circuits(alone, basis()) == ()


def test_light_without_place_is_fed_by_nothing():
    job = with_feature(lit((10, 0)), "nowhere", "path-light")
    assert len(circuits(job, basis())[0].fed) == 1


def test_forty_lights_are_all_fed_each_by_a_cable_from_where_it_hangs():
    random, book = Random(3), basis()
    places = [(random.uniform(0, 80), random.uniform(0, 60)) for _ in range(40)]
    for at in range(3):
        (circuit,) = circuits(lit(*places, source=(float(at), 0.0)), book)
        assert len(circuit.fed) == 40
        assert all(one.volts and one.volts < 12 for one in circuit.fed)
        assert all(one.length == pytest.approx(hypot(one.leg.end.at[0] - one.leg.start.at[0], one.leg.end.at[1] - one.leg.start.at[1]) + 2) for one in circuit.fed)  # fmt: skip


def along(job, *points: tuple[float, float]):
    """The same lights, their transformer's cables along a line."""
    job = with_run(job, "line", points=points)
    box = next(one for one in job.features if one.title == "box")
    kept = [one for one in job.features if one is not box]
    return replace(job, features=(replace(box, along=job.runs[-1].id), *kept))


def test_cables_follow_the_line_as_it_bends_and_share_its_trench():
    # an L of 20 and 30 ft: the lights stand 1 ft off it, so each cable is off, along and off again (geometry)
    job = along(lit((10, 1), (21, 10), (21, 30)), (0, 0), (20, 0), (20, 30))
    circuit = circuits(job, basis())[0]
    ways = {one.leg.end.feature.title: one.leg.way for one in circuit.fed}
    assert [ways[title].length for title in ("L1", "L2", "L3")] == pytest.approx([11, 1 + 20 + 1, 1 + 20 + 1])
    assert ways["L2"].points == ((10, 1), (10, 0), (20, 0), (20, 10), (21, 10))
    assert circuit.trench == pytest.approx(50 + 5)  # all of the line once, and five hops of a foot
    assert sum(one.length for one in circuit.fed) == pytest.approx(55 + 3 * 2)
    straight = circuits(replace(job, runs=()), basis())[0]  # the line is gone: as if nobody had said it
    assert straight.fed[1].leg.long == pytest.approx(hypot(11, 9))


def on_both(job, *lines: tuple[tuple[float, float], ...]):
    """The same lights, their transformer's cables along several lines."""
    for number, points in enumerate(lines):
        job = with_run(job, f"line {number}", points=points)
    box = next(one for one in job.features if one.title == "box")
    kept = [one for one in job.features if one is not box]
    return replace(job, features=(replace(box, along_ids=tuple(run.id for run in job.runs)), *kept))


MAIN, BRANCH = ((0, 0), (80, 0)), ((50, 0), (50, 30))


def test_cables_go_on_along_another_line_and_part_at_a_tee_where_lines_meet():
    # one line of 80 ft, another of 30 ft off its 50th: 50 ft to the tee, 30 ft on, 30 ft aside (geometry); without
    # the tee 80 + 60. Two lights of 20 W filaments are resistances, so Ohm's law solves the tee by itself
    job = on_both(lit((80, 0), (50, 30), watts=20.0, lamp="filament"), MAIN, BRANCH)
    circuit = circuits(job, basis())[0]
    assert [(one.leg.end.title, one.leg.start.title) for one in circuit.cables] == [
        ("Tee 1", "box"),
        ("L1", "Tee 1"),
        ("L2", "Tee 1"),
    ]
    assert circuit.trench == pytest.approx(110)
    assert circuit.cable == pytest.approx(110 + 3 * 2)
    by_foot = 2 * 1.98 * (1 + 0.00323 * (20 - 75)) / 1000
    lamp = 144 / 20
    both = (32 * by_foot + lamp) / 2
    at_tee = 12 * both / (54 * by_foot + both)  # 50 ft, 2 of slack, and a tee's splices as 2 ft more of its cable
    assert [one.volts for one in circuit.cables] == pytest.approx(
        [at_tee, *[at_tee * lamp / (32 * by_foot + lamp)] * 2], abs=1e-6
    )
    assert circuit.lights == 2
    assert circuit.load == pytest.approx(40)


@pytest.mark.parametrize(
    ("places", "lines", "tees", "trench"),
    [
        (((50, 0), (80, 0), (50, 30)), (MAIN, BRANCH), 0, 110),  # a light where they meet is its own branch
        (((50, 30),), (MAIN, BRANCH), 0, 80),  # nothing parts: on along the other line
        (((80, 0), (50, 30)), (MAIN, ((50, 0.8), (50, 30))), 1, 110),  # an end drawn nearly there meets it
        (((80, 0), (50, 30)), (MAIN, ((50, 3), (50, 30))), 0, hypot(50, 30) + hypot(30, 30)),  # apart: straight
        (((50, 30), (50, -30), (80, 0)), (MAIN, ((50, -30), (50, 30))), 1, 140),  # crossing lines, three ways on
        (((30, 20),), (((0, 0), (40, 0), (40, 20), (0, 20), (0, 0)),), 0, 50),  # a ring: the shorter way round
    ],
)
def test_ways_along_several_lines_are_the_shortest(places, lines, tees, trench):
    circuit = circuits(on_both(lit(*places), *lines), basis())[0]
    assert circuit.tees == tees
    assert circuit.trench == pytest.approx(trench)


def test_lengths_along_lines_are_those_of_a_graph_by_another_library():
    # reference: scipy's shortest paths over a grid of lines, each crossing a node
    lines = [line_through((0, y), (60, y)) for y in (0, 20, 40)] + [line_through((x, 0), (x, 40)) for x in (0, 30, 60)]
    network, places = Network(lines), [(x, y) for x in (0, 30, 60) for y in (0, 20, 40)]
    steps = np.array([[abs(a - c) + abs(b - d) for c, d in places] for a, b in places])
    beside = np.array([[(a == c) + (b == d) == 1 for c, d in places] for a, b in places])
    wanted = shortest_path(np.where(beside & (steps <= 30), steps, 0))
    assert network.lengths(places, places) == pytest.approx(wanted)
    random = Random(5)
    ends = [(random.uniform(-2, 62), random.uniform(-2, 42)) for _ in range(12)]
    told = network.lengths(ends, ends)
    for at, one in enumerate(ends):
        for other_at, other in enumerate(ends):
            way = network.way(one, other)
            assert way.length == pytest.approx(told[at, other_at])
            assert sum(hypot(a - c, b - d) for (a, b), (c, d) in pairwise(way.points)) == pytest.approx(way.length)


def test_a_line_that_is_a_long_way_round_or_lies_aside_is_not_taken():
    # there and back along a hairpin: 2 × 40 ft for lights 4 ft apart
    far = circuits(along(lit((4, 0)), (0, 0), (0, 40), (4, 40), (4, 0)), basis())[0]
    assert far.fed[0].leg.way.points == ((0, 0), (4, 0))
    aside = circuits(along(lit((10, 0)), (50, 50), (50, 90)), basis())[0]
    assert aside.fed[0].leg.way.on == ()


def test_ways_along_an_arc_are_as_long_as_it_is():
    half = along(lit((20, 0)), (0, 0), (20, 0))
    curved = replace(half, runs=(replace(half.runs[0], rises=(10.0,)),))  # a half circle of radius 10
    way = circuits(curved, basis())[0].fed[0].leg.way
    assert way.length == pytest.approx(pi * 10, abs=0.05)


def test_each_light_takes_what_was_said_of_it_and_filaments_less_as_the_voltage_falls():
    # two lamps of 20 W at 12 V in a row, 100 ft of 12 gauge each with 2 ft of slack: filaments are resistances of
    # 144 / 20 ohm, so the circuit is solved by Ohm's law alone; drivers of 20 W draw more at less
    places = ((100, 0), (200, 0))
    job = lit(*places, watts=20.0, lamp="filament")
    ohms = 2 * 102 * 1.98 * (1 + 0.00323 * (20 - 75)) / 1000
    lamp = 144 / 20
    behind = ohms + lamp
    both = 1 / (1 / lamp + 1 / behind)
    first = 12 * both / (ohms + both)
    circuit = circuits(job, basis())[0]
    assert [one.volts for one in circuit.fed] == pytest.approx([first, first * lamp / behind], abs=1e-6)
    assert circuit.fed[0].amperes == pytest.approx((12 - first) / ohms, abs=1e-6)
    assert circuit.load == pytest.approx(40)
    drivers = circuits(lit(*places, watts=20.0), basis())[0]
    assert drivers.load == pytest.approx(40 / 0.73)
    assert drivers.lowest < circuit.lowest
    assert not circuits(lit((10, 0)), basis())[0].fed[0].lamp.said


def test_forty_lights_along_a_line_all_hang_on_it():
    random, book = Random(3), basis()
    job = along(lit(*[(random.uniform(0, 120), random.uniform(0, 4)) for _ in range(40)]), (0, 2), (60, 2), (120, 3))
    lights = lights_of(job, book)
    runs = followed(lights, job, book)
    legs = strung(lights, Strung(loads=[5.5] * 40, most=60.0, networks=networks_of(runs)))
    assert {leg.end.key for leg in legs} == {one.key for one in lights if one.mounting != TRANSFORMER}


def test_gas_lines_and_conduits_of_line_voltage_are_followed_by_no_cable():
    book, points = basis(), ((0, 0), (20, 0))
    gas = with_run(empty(), "gas", points=points, kind=RunKind.GAS)
    power = with_run(empty(), "power", "conduit-run", points=points, kind=RunKind.CONDUIT)
    sleeve = with_run(empty(), "sleeve", "sleeve", points=points, kind=RunKind.CONDUIT)
    assert [len(may_be_followed(job, book)) for job in (gas, power, sleeve)] == [0, 0, 1]
