"""Working days of what is built, who is on it, what was signed for; and that a zone's stages are its sheet, shared out."""

from collections import Counter
from dataclasses import replace
from datetime import date
from functools import partial
from uuid import UUID

import pytest

from app.domain.costing.estimate import estimate
from app.domain.crew import CrewReading, Doing, crew_sheets
from app.domain.crew.days import days_of, said_for, signed_for, who_is_on
from app.domain.job import CrewOn, RunKind, SignedCheck
from app.domain.people import CrewMember
from app.domain.plan.shapes import rectangle
from app.domain.schedule.activities import planned
from app.interchange.building_stages import building_stages
from app.services.day_sheets import stage_of_need
from tests.plans import yards

WEEK = frozenset(range(5))
ADA, LUZ = CrewMember(key="ada", name="Ada"), CrewMember(key="luz", name="Luz", language="es")
PLACE = ("zone", "phase", "base")


def on(day: date, *people: str, stage: str = "base") -> CrewOn:
    return CrewOn(id=UUID(int=day.toordinal()), day=day, people=people, zone="zone", phase="phase", stage=stage)


def test_days_leave_out_weekends_and_days_the_firm_is_closed():
    # Thursday to Tuesday, with Monday closed
    found = days_of([(date(2027, 5, 6), date(2027, 5, 11))], WEEK, frozenset({date(2027, 5, 10)}))
    assert found == (date(2027, 5, 6), date(2027, 5, 7), date(2027, 5, 11))


def test_all_of_the_crew_are_on_it_until_somebody_says_otherwise_and_from_that_day():
    crew, said = (ADA, LUZ), (on(date(2027, 5, 7), "luz"), on(date(2027, 5, 11), "ada"))
    assert who_is_on(said, crew, PLACE, date(2027, 5, 6)) == (ADA, LUZ)
    assert who_is_on(said, crew, PLACE, date(2027, 5, 10)) == (LUZ,)
    assert who_is_on(said, crew, PLACE, date(2027, 5, 11)) == (ADA,)
    assert who_is_on(said, crew, ("zone", "phase", "dig"), date(2027, 5, 11)) == (ADA, LUZ)
    assert said_for(said, PLACE, date(2027, 5, 7)) is said[0]
    assert said_for(said, PLACE, date(2027, 5, 8)) is None


def test_who_left_the_crew_is_on_nothing():
    assert who_is_on((on(date(2027, 5, 7), "luz", "gone"),), (ADA, LUZ), PLACE, date(2027, 5, 7)) == (LUZ,)


def test_signed_checks_go_by_place_and_words():
    one = SignedCheck(
        id=UUID(int=1), day=date(2027, 5, 7), words="Dug", name="Ada", zone="zone", phase="phase", stage="base"
    )
    assert signed_for([one, replace(one, zone="other")], PLACE) == {"Dug": (one,)}


@pytest.fixture(scope="module")
def shared():
    job = yards.with_zone(yards.empty(), "A", rectangle(18, 16, at=(0, 20)), "unit-pavers")
    job, basis = (
        yards.with_run(job, "wall", "retaining-wall", kind=RunKind.WALL, length=20.0, height=2.0),
        yards.basis(),
    )
    return crew_sheets(job, basis), [sheet for _, sheet in by_stage(job, basis)]


def by_stage(job, basis):
    """Every stage of every place with what of its sheet belongs to it."""
    stages = building_stages()
    plan = planned(job, basis, estimate(job, basis), stages)
    stage_of = partial(stage_of_need, basis, stages)
    reading = CrewReading(job, basis)
    return [
        (
            one.stage,
            reading.sheet(
                one.place,
                Doing(
                    zone=one.place,
                    phase=one.phase,
                    stage=one.stage,
                    works=frozenset(one.works),
                    steps=frozenset(),
                    stage_of=stage_of,
                    rank=stages.rank,
                    pictured=frozenset(stages.by_key[one.stage].steps),
                ),
            ),
        )
        for one in plan
        if not one.trade
    ]


def test_pictures_are_taken_at_the_stage_at_which_what_they_show_lies_open():
    job = yards.with_zone(yards.empty(), "A", rectangle(18, 16, at=(0, 20)), "unit-pavers")
    job = yards.with_run(job, "gas", "gas-run", kind=RunKind.GAS, length=30.0, points=((5.0, 15.0), (5.0, 45.0)))
    at = {words: stage for stage, sheet in by_stage(job, yards.basis()) for words in sheet.photos}
    assert at["The open line with the gauge on it"] == at["Tracer wire and warning tape"] == "lines"
    assert at["Compacted base with the straightedge on it"] == "base"


@pytest.mark.parametrize(
    ("recipe", "stage"),
    [
        ("gas-run", "lines"),
        ("hot-tub-pad", "form"),
        ("disconnect-lines", "ready"),
        ("remove-tree", "clear"),
        ("grill", "fit"),
        ("backflow", "fit"),
        ("water-feature", "fit"),
    ],
)
def test_a_trade_is_guided_at_the_stage_at_which_it_comes(recipe, stage):
    stages, one = building_stages(), yards.basis().assemblies[recipe]
    assert stages.of_task("guide-the-trade", one) == stages.of_hired("nobody's", one) == stage
    assert stages.of_step_in("trades", one) in ("", stage)


def test_hours_and_materials_of_the_stages_are_those_of_the_whole_sheets(shared):
    whole, parts = shared
    assert sum(one.hours for one in parts) == pytest.approx(sum(one.hours for one in whole))
    amounts = Counter()
    for sheet in parts:
        for one in sheet.materials:
            amounts[one.title] += 1
    assert {one.title for sheet in whole for one in sheet.materials} == amounts.keys()


def test_every_check_and_picture_of_a_recipe_stands_on_some_stage(shared):
    whole, parts = shared
    for name in ("checks", "photos", "at_hand"):
        wanted = {words for sheet in whole for words in getattr(sheet, name)}
        assert wanted
        assert {words for sheet in parts for words in getattr(sheet, name)} == wanted, name
