"""What the measures of a place rest on is one object while nothing near it changes, and another as soon as it does."""

from dataclasses import replace
from random import Random

import pytest

from app.domain.job import EdgeChoice, Job, PlaceKind
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import rectangle
from app.domain.takeoff import requirements as takeoff
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.surroundings import Surroundings
from tests.plans.yards import basis, empty, with_edge, with_work, with_zone

BASIS = basis()
PLACES = 5


def row(apart: float = 0.0, **parameters: str) -> Job:
    """Paved zones of 20 by 12 ft in a row."""
    job = empty(house=None)
    for n in range(PLACES):
        job = with_zone(
            job, "ABCDE"[n], rectangle(20, 12, at=(n * (20 + apart), 0)), "unit-pavers", parameters=parameters
        )
    return job


def moved(job: Job, n: int, outline: Outline) -> Job:
    ways = list(job.alternatives)
    ways[n] = replace(ways[n], outline=outline)
    return replace(job, alternatives=tuple(ways))


def marks(job: Job) -> list[object]:
    around = Surroundings(job, lambda: frozenset(zone.id for zone in job.zones))
    return [around.mark(work) for work in job.works]


def afresh(job: Job) -> object:
    """What is worked out when nothing is kept."""
    for kept in (takeoff._RESULTS, takeoff._WORKED_OUT, takeoff._PARAMETERS):
        kept.clear()
    return requirements(job, BASIS)


def test_only_the_zones_beside_an_edited_one_rest_on_another_thing():
    job = row()
    then, now = marks(job), marks(moved(job, 1, rectangle(19.5, 12, at=(20, 0))))
    assert [a is b for a, b in zip(then, now, strict=True)] == [False, False, False, True, True]
    assert marks(replace(job)) == then


@pytest.mark.parametrize("overdig", ["6*inch", "4*foot"], ids=["usual", "far"])
def test_ground_two_bases_reach_for_is_shared_as_soon_as_they_come_near(overdig):
    # 4 ft of overdig reach further than outlines usually grow: what lies 7 ft away takes part
    job = row(7.0, overdig=overdig)
    requirements(job, BASIS)
    near = moved(job, 1, rectangle(23, 12, at=(27, 0)))
    for one in (near, moved(near, 0, rectangle(20, 11)), near, job):
        assert requirements(one, BASIS) == afresh(one)
        requirements(one, BASIS)


def test_a_decided_edge_is_measured_again_when_its_stretch_is():
    job = with_edge(row(), "A", "B", "edge-soldier", choice=EdgeChoice.BUILT)
    found = requirements(job, BASIS)
    shorter = moved(job, 1, rectangle(20, 7, at=(20, 0)))
    assert requirements(shorter, BASIS) != found
    assert requirements(shorter, BASIS) == afresh(shorter)


def test_any_row_of_edits_gives_what_is_worked_out_afresh():
    chance = Random(20270301)
    job = row()
    for _step in range(25):
        n = chance.randrange(PLACES)
        side = rectangle(chance.uniform(16, 21), chance.uniform(9, 14), at=(n * 20 + chance.uniform(0, 1), 0))
        job = moved(job, n, side)
        if chance.random() < 0.2:
            job = with_edge(replace(job, edges=()), "B", "C", choice=EdgeChoice.BUILT)
        kept = requirements(job, BASIS)
        assert kept == afresh(job)


def test_what_reads_all_zones_rests_on_all():
    job = with_work(row(), PlaceKind.JOB, None, "own-layout")
    found = requirements(job, BASIS)
    far = moved(job, 4, rectangle(60, 12, at=(80, 0)))
    assert requirements(far, BASIS) != found
    assert requirements(far, BASIS) == afresh(far)
