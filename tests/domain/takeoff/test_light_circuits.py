"""Circuits of 12 V lights from where they stand: the shortest tree, the voltage at each, kept while nothing moves."""

from dataclasses import replace
from math import hypot, pi
from random import Random
from time import perf_counter

import numpy as np
import pytest
from scipy.sparse.csgraph import minimum_spanning_tree
from scipy.spatial.distance import cdist

from app.domain.job import RunKind
from app.domain.takeoff.cable_ways import may_be_followed
from app.domain.takeoff.light_circuits import circuits, lights_of, lines_followed
from app.domain.takeoff.light_tree import strung
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
        legs = strung(lights_of(lit(*places), book), [1.0] * count)
        apart = cdist(np.array([(0, 0), *places]), np.array([(0, 0), *places]))
        assert len(legs) == count
        assert sum(one.long for one in legs) == pytest.approx(minimum_spanning_tree(apart).sum())


def test_no_cable_that_leaves_a_transformer_carries_more_than_its_bound_and_none_is_longer_than_by_itself():
    random, book = Random(11), basis(light_run_load=25)  # four lights of 5.48 VA
    places = [(random.uniform(0, 120), random.uniform(0, 60)) for _ in range(30)]
    circuit = circuits(lit(*places), book)[0]
    runs: dict[str, list[str]] = {}
    for one in circuit.fed:
        start, own = one.leg.start.feature.title, one.leg.light.feature.title
        run = next((of for of, held in runs.items() if start in held), own)
        runs.setdefault(run, []).append(own)
    assert all(len(held) <= 4 for held in runs.values())
    assert sum(map(len, runs.values())) == 30
    assert sum(one.leg.long for one in circuit.fed) < sum(hypot(*place) for place in places)


def test_every_leg_begins_at_what_is_fed_already_and_goes_to_the_nearer_transformer():
    job = with_feature(lit((10, 0), (90, 0)), "second", "light-transformer", x=100.0, y=0.0)
    book = basis()
    near, far = circuits(job, book)
    assert [one.leg.light.feature.title for one in near.fed] == ["L1"]
    assert [one.leg.light.feature.title for one in far.fed] == ["L2"]
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


def test_forty_lights_in_their_tree_take_no_ten_milliseconds():
    random, book = Random(3), basis()
    places = [(random.uniform(0, 80), random.uniform(0, 60)) for _ in range(40)]
    jobs = [lit(*places, source=(float(at), 0.0)) for at in range(5)]
    circuits(jobs[0], book)
    took = []
    for job in jobs[1:]:
        start = perf_counter()
        (circuit,) = circuits(job, book)
        took.append(perf_counter() - start)
        assert len(circuit.fed) == 40
        assert all(one.volts and one.volts < 12 for one in circuit.fed)
        assert all(one.length == pytest.approx(hypot(one.leg.light.at[0] - one.leg.start.at[0], one.leg.light.at[1] - one.leg.start.at[1]) + 2) for one in circuit.fed)  # fmt: skip
    assert min(took) < 0.010 * 5  # the bench holds 10 ms; here a busy machine is allowed for


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
    ways = {one.leg.light.feature.title: one.leg.way for one in circuit.fed}
    assert [ways[title].length for title in ("L1", "L2", "L3")] == pytest.approx([11, 1 + 20 + 1, 1 + 20 + 1])
    assert ways["L2"].points == ((10, 1), (10, 0), (20, 0), (20, 10), (21, 10))
    assert circuit.trench == pytest.approx(50 + 5)  # all of the line once, and five hops of a foot
    assert sum(one.length for one in circuit.fed) == pytest.approx(55 + 3 * 2)
    straight = circuits(replace(job, runs=()), basis())[0]  # the line is gone: as if nobody had said it
    assert straight.fed[1].leg.long == pytest.approx(hypot(11, 9))


def test_a_line_that_is_a_long_way_round_or_lies_aside_is_not_taken():
    # there and back along a hairpin: 2 × 40 ft for lights 4 ft apart
    far = circuits(along(lit((4, 0)), (0, 0), (0, 40), (4, 40), (4, 0)), basis())[0]
    assert far.fed[0].leg.way.points == ((0, 0), (4, 0))
    aside = circuits(along(lit((10, 0)), (50, 50), (50, 90)), basis())[0]
    assert aside.fed[0].leg.way.on is None


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


def test_forty_lights_along_a_line_take_no_more_than_the_bench_allows():
    random, book = Random(3), basis()
    job = along(lit(*[(random.uniform(0, 120), random.uniform(0, 4)) for _ in range(40)]), (0, 2), (60, 2), (120, 3))
    lights = lights_of(job, book)
    lines = lines_followed(lights, job, book)
    started = perf_counter()
    legs = strung(lights, [5.5] * 40, 60.0, lines)
    assert perf_counter() - started < 0.1  # a tenth of that alone; the bench holds 10 ms for the voltages
    assert len(legs) == 40


def test_gas_lines_and_conduits_of_line_voltage_are_followed_by_no_cable():
    book, points = basis(), ((0, 0), (20, 0))
    gas = with_run(empty(), "gas", points=points, kind=RunKind.GAS)
    power = with_run(empty(), "power", "conduit-run", points=points, kind=RunKind.CONDUIT)
    sleeve = with_run(empty(), "sleeve", "sleeve", points=points, kind=RunKind.CONDUIT)
    assert [len(may_be_followed(job, book)) for job in (gas, power, sleeve)] == [0, 0, 1]
