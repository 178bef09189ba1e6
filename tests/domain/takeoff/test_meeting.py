"""Where zones meet: who decides which stretch, how far the levels differ, what the recipes of an edge measure."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.job import EdgeChoice, Fate, Mark, PlaceKind, RunKind
from app.domain.plan import circle, from_points, perimeter, rectangle
from app.domain.takeoff.meeting import away_from, by_edge, measured, meetings
from app.domain.takeoff.surroundings import Surroundings
from tests.plans.yards import empty, named, site, with_edge, with_existing, with_run, with_zone

GAPPED = from_points([(20, 0), (30, 0), (30, 12), (20, 12), (20, 8), (23, 8), (23, 6), (20, 6)])


def yard(**levels):
    job = with_zone(empty(house=None), "A", rectangle(20, 12), level=levels.get("a"))
    return with_zone(job, "B", GAPPED, level=levels.get("b"))


def between(job, one="A", other="B"):
    return [met for met in meetings(job) if (met.zone_id, met.neighbor) == (named(f"zone {one}"), neighbor(other))]


def neighbor(letter):
    return str(named(f"zone {letter}"))


def test_zone_meets_the_same_neighbor_along_two_stretches() -> None:
    assert sorted(met.stretch.length for met in between(yard())) == pytest.approx([4, 6])


def test_edge_without_a_point_decides_every_stretch_from_both_sides() -> None:
    job = with_edge(yard(), "A", "B", choice=EdgeChoice.NOTHING)
    assert [met.decided for met in (*between(job), *between(job, "B", "A"))] == [True] * 4
    assert Surroundings(job).edge_length(job.edges[0]) == pytest.approx(10)


@pytest.mark.parametrize(("at", "length"), [((20, 3), 6), ((20, 11), 4), ((20.5, 9), 4)])
def test_edge_with_a_point_decides_the_stretch_it_lies_on_from_both_sides(at, length) -> None:
    job = with_edge(yard(), "A", "B", choice=EdgeChoice.NOTHING, at=at)
    for own in (between(job), between(job, "B", "A")):
        assert [met.stretch.length for met in own if met.decided] == [pytest.approx(length)]
    assert Surroundings(job).edge_length(job.edges[0]) == pytest.approx(length)


def test_edge_with_a_point_takes_its_stretch_from_the_edge_of_all_whichever_came_first() -> None:
    both = with_edge(with_edge(yard(), "A", "B", choice=EdgeChoice.NOTHING), "B", "A", at=(20, 3))
    for job in (both, replace(both, edges=both.edges[::-1])):
        decided = {round(met.stretch.length): met.edge.choice for met in between(job)}
        assert decided == {4: EdgeChoice.NOTHING, 6: EdgeChoice.OPEN}
        assert [met.must_decide for met in between(job)].count(True) == 1


def test_edge_whose_outlines_went_elsewhere_decides_nothing() -> None:
    job = with_edge(yard(), "A", "B", choice=EdgeChoice.NOTHING, at=(40, 40))
    assert not any(met.decided for met in between(job))
    assert Surroundings(job).edge_length(job.edges[0]) is None


def test_drop_is_the_difference_of_the_finish_levels_and_turns_with_the_side() -> None:
    job = yard(a=1.5, b=0.25)
    assert [(met.drop.start, met.drop.mean) for met in between(job)] == [(1.25, 1.25)] * 2
    assert [met.drop.mean for met in between(job, "B", "A")] == [-1.25] * 2
    assert [met.drop for met in between(yard(a=1.5))] == [None, None]


def test_drop_along_a_falling_surface_is_told_at_both_ends_and_as_its_mean() -> None:
    """2 % to the north over 12 ft from 1 ft in the middle: 1.12 ft at the south end. Source: arithmetic."""
    job = with_zone(empty(house=None), "A", rectangle(20, 12), level=1.0, fall=0.02, fall_bearing=0.0)
    job = with_zone(job, "B", rectangle(10, 12, at=(20, 0)), level=0.0)
    (met,) = between(job)
    assert (met.drop.start, met.drop.end, met.drop.mean) == pytest.approx((1.12, 0.88, 1.0))


def test_drop_that_was_typed_overrules_the_levels_on_both_sides() -> None:
    job = with_edge(yard(a=1.5, b=0.25), "A", "B", drop=0.5)
    assert [met.drop.mean for met in (*between(job), *between(job, "B", "A"))] == [0.5, 0.5, -0.5, -0.5]


def test_recipes_of_an_edge_measure_its_stretches_never_a_negative_drop() -> None:
    job = with_edge(yard(a=0.25, b=1.5), "A", "B", at=(20, 3))
    around = Surroundings(job)
    assert (around.edge_length(job.edges[0]), around.edge_drop(job.edges[0])) == pytest.approx((6, 1.25))
    unknown = with_edge(yard(), "A", "B")
    assert Surroundings(unknown).edge_drop(unknown.edges[0]) is None
    typed = with_edge(yard(a=0.25, b=1.5), "A", "B", drop=-0.5, length=7.0, curved_length=2.0)
    assert Surroundings(typed).edge_drop(typed.edges[0]) == 0.5
    assert (Surroundings(typed).edge_length(typed.edges[0]), Surroundings(typed).edge_curved(typed.edges[0])) == (7, 2)


def test_curved_part_of_an_edge_is_told_from_the_outlines() -> None:
    ring = type(GAPPED)(
        "CURVEPOLYGON ((-20 -20, 20 -20, 20 20, -20 20, -20 -20), CIRCULARSTRING (6 0, 0 6, -6 0, 0 -6, 6 0))"
    )
    job = with_zone(with_zone(empty(house=None), "A", ring), "B", circle(6))
    job = with_edge(job, "B", "A")
    assert Surroundings(job).edge_curved(job.edges[0]) == pytest.approx(12 * pi, rel=1e-9)


def test_typed_length_of_one_stretch_is_taken_from_open_ground() -> None:
    job = with_edge(yard(), "A", "B", length=5.0, at=(20, 3))  # drawn 6
    around = Surroundings(job)
    assert around.shared(named("zone A"), "zone") == pytest.approx(9)
    assert around.shared(named("zone A"), "ground") == pytest.approx(64 - 9)


def test_wall_along_an_edge_is_met_and_one_that_goes_is_not() -> None:
    job = with_zone(empty(house=None), "A", rectangle(20, 12))
    line = ((0, 12.2), (20, 12.2))
    walled = with_run(job, "Seat wall", kind=RunKind.WALL, points=line)
    assert Surroundings(walled).shared(named("zone A"), "wall") == pytest.approx(20)
    assert not any(met.must_decide for met in meetings(walled))
    assert Surroundings(with_existing(job, "Old wall", "wall", fate=Fate.GOES, points=line)).shared(
        named("zone A"), "wall"
    ) == pytest.approx(0)
    stays = with_existing(job, "Old wall", "wall", fate=Fate.STAYS, points=line)
    assert Surroundings(stays).shared(named("zone A"), "wall") == pytest.approx(20)


def test_gap_of_the_job_says_what_meets() -> None:
    job = with_zone(with_zone(empty(house=None), "A", rectangle(20, 12)), "B", rectangle(5, 12, at=(20.3, 0)))
    assert between(job) == []
    assert len(between(site(job, meeting_gap=0.3))) == 1
    assert Surroundings(site(job, meeting_gap=0.3)).shared(named("zone A"), "zone") == pytest.approx(12)


def test_distance_from_a_path_is_to_its_nearest_piece() -> None:
    assert away_from([(0, 0), (10, 0), (10, 10)], (12, 5)) == pytest.approx(2)
    assert away_from([(0, 0), (0, 0), (4, 0)], (-3, 4)) == pytest.approx(5)


def test_stretches_of_no_edge_measure_nothing() -> None:
    assert measured(()) is None
    assert by_edge(meetings(yard())) == {}


@given(st.permutations(range(3)), st.permutations(range(2)))
@settings(max_examples=12, deadline=None)
def test_order_of_zones_and_edges_changes_no_decision(zones, edges) -> None:
    job = with_zone(yard(a=1.0, b=0.0), "C", rectangle(20, 6, at=(0, 12)), level=0.5)
    job = with_edge(with_edge(job, "A", "B", choice=EdgeChoice.NOTHING), "C", "A", choice=EdgeChoice.BUILT)
    mixed = replace(job, zones=tuple(job.zones[at] for at in zones), edges=tuple(job.edges[at] for at in edges))

    def told(one):
        return {(met.zone_id, met.stretch.middle): (met.decided, met.drop, met.stretch.length) for met in meetings(one)}

    assert told(mixed) == told(job)
    for zone in job.zones:
        own = sum(met.stretch.length for met in meetings(mixed) if met.zone_id == zone.id)
        assert own == pytest.approx(perimeter(job.chosen(zone).outline), abs=1e-6)


def test_work_on_an_edge_is_still_placed() -> None:
    job = with_edge(yard(), "A", "B", "flush-edge")
    assert [work.place for work in job.works] == [PlaceKind.EDGE]


def test_drop_to_open_ground_follows_the_spot_levels() -> None:
    """The ground rises 1 ft in 40 to the north: 0.5 ft at y = 0, 0.8 ft at y = 12; the surface lies at 1 ft."""
    job = with_zone(empty(house=None), "A", rectangle(20, 12), level=1.0)
    spots = [(-20, -20, 0.0), (40, -20, 0.0), (40, 20, 1.0), (-20, 20, 1.0)]
    marks = tuple(
        Mark(id=named(f"mark {at}"), title=f"P{at}", x=x, y=y, level=level) for at, (x, y, level) in enumerate(spots)
    )
    (met,) = meetings(replace(job, marks=marks))
    assert (met.drop.most, met.drop.least) == pytest.approx((0.5, 0.2))
    assert [one.drop for one in meetings(job)] == [None]
