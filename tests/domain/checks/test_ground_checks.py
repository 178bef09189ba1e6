"""What tape, rod and levels say against one another, on small plans."""

from dataclasses import replace
from math import dist

import pytest

from app.domain.checks import check
from app.domain.checks.ground import AGREE
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, LevelSetup, Mark, RodReading, Tape
from app.domain.plan import rectangle
from app.domain.takeoff.ground import ground_of, mark_places, spots_of
from tests.plans.yards import basis, empty, named, with_edge, with_zone

CORNERS = {"A": (0.0, 20.0), "B": (40.0, 20.0), "C": (44.0, 50.0), "D": (-5.0, 48.0)}
AT = (12.0, 34.0)


def of(rule: str, job: Job) -> list[Finding]:
    return [one for one in check(job, basis()) if one.rule == rule]


def taped(*, wrong: float = 0.0, left_out: bool = False, only: str = "ABCD", **mark) -> Job:
    corners = tuple(Mark(id=named(key), title=key, x=x, y=y, level=0.0) for key, (x, y) in CORNERS.items())
    tapes = tuple(
        Tape(
            from_id=named(key),
            length=dist(CORNERS[key], AT) + (wrong if key == "C" else 0.0),
            left_out=left_out and key == "C",
        )
        for key in only
    )
    return replace(empty(), marks=(*corners, Mark(id=named("P"), title="P", tapes=tapes, **mark)))


def test_bad_tape_is_an_open_point_until_it_is_left_out() -> None:
    assert of("tapes-disagree", taped()) == []
    (found,) = of("tapes-disagree", taped(wrong=0.5))
    assert (found.severity, found.stop, found.where) == (Severity.WARN, Stop.NONE, f"mark:{named('P')}")
    assert 'The tape from C to P is 6" too long' in found.what
    assert of("tapes-disagree", taped(wrong=0.5, left_out=True)) == []


@pytest.mark.parametrize(("only", "said"), [("A", "has one tape, from A"), ("ABCD", "")])
def test_taped_mark_without_a_place_is_an_open_point(only: str, said: str) -> None:
    found = of("mark-without-place", taped(only=only))
    assert [said in one.what for one in found] == ([True] if said else [])


def test_mark_behind_no_wall_is_placed_by_the_house_standing_between() -> None:
    # taped from both rear corners: its mirror image would lie inside the house
    assert mark_places(taped(only="AB"))["P"] == pytest.approx(AT)


def test_places_and_levels_make_the_ground() -> None:
    job = taped(level=1.0)
    assert spots_of(job)[-1] == pytest.approx((*AT, 1.0))
    assert ground_of(job).level(AT) == pytest.approx(1.0)
    assert ground_of(job).level((300, 300)) is None
    sill = replace(job, marks=tuple(replace(one, on_ground=one.title != "P") for one in job.marks))
    assert ground_of(sill).level(AT) == pytest.approx(0.0)
    assert mark_places(empty()) == {}


@pytest.mark.parametrize(("again", "closes"), [(4.01, True), (4.25, False)])
def test_loop_that_does_not_close_is_an_open_point(again: float, closes: bool) -> None:
    setup = LevelSetup(id=named("one"), benchmark_id=named("BM"), backsight=4.0)
    benchmark = Mark(id=named("BM"), title="Sill", level=0.0, rods=(RodReading(setup_id=setup.id, reading=again),))
    found = of("levels-do-not-close", replace(empty(), marks=(benchmark,), level_setups=(setup,)))
    assert bool(found) is not closes
    if found:
        assert 'The levels of Sill lie 3" apart, more than the 1/4" allowed' in found[0].what


@pytest.mark.parametrize(
    ("drop", "contradicts"),
    [(0.5, False), (0.5 + AGREE, False), (0.5 + 1.1 * AGREE, True), (-0.5, True), (None, False)],
)
def test_typed_drop_is_held_against_the_levels(drop: float | None, contradicts: bool) -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 20)), level=0.0)
    job = with_zone(job, "B", rectangle(10, 10, at=(10, 20)), level=-0.5)
    job = with_edge(job, "A", "B", drop=drop)
    found = of("levels-contradict", job)
    assert bool(found) is contradicts
    if drop == -0.5:
        assert 'typed as -6"; their levels give 6"' in found[0].what


def test_drop_between_falling_surfaces_may_lie_anywhere_between_its_ends() -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 20)), level=0.0, fall=0.05, fall_bearing=0.0)
    job = with_zone(job, "B", rectangle(10, 10, at=(10, 20)), level=-1.0)
    for drop, contradicts in ((0.75, False), (1.25, False), (0.7, True), (1.3, True)):
        assert bool(of("levels-contradict", with_edge(job, "A", "B", drop=drop))) is contradicts
