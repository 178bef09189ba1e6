"""Small plans with their known open points: all of them and no more, wherever the plan lies and however it is turned."""

import random
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from app.domain.checks import check
from app.domain.plan.placing import Placing
from app.domain.takeoff.stocked import stocked
from tests.plans.small_plans import SmallPlan, placed, small_plans, spread
from tests.plans.yards import basis

PLANS = small_plans()
BY_NAME = [pytest.param(one, id=one.name) for one in PLANS]
# what room answers: more of it never adds one of these
ROOM = frozenset(
    {"fire-distance-wood", "fire-distance-gas", "fire-to-seat", "fire-ring", "chair-clearance", "passage-width"}
    | {"path-width", "path-two-abreast", "door-clear", "landing-long", "aisle", "gas-and-power", "zones-overlap"}
    | {
        "loose-barefoot",
        "slick-wet",
        "burns-near-wood",
        "burns-near-gas",
        "room-to-open",
        "drain-to-line",
        "dig-in-roots",
    }
    | {"wall-tiers", "grill-distance", "fall-to-line", "stains", "guard", "chair-to-drop"}
    | {"setback", "bottle-flame", "bottle-opening", "gate-clear"}
    | {"tree-to-house-small", "tree-to-house-medium", "tree-to-house-large", "tree-to-paving", "tree-to-buried"}
)


def findings(plan: SmallPlan, job=None):
    job = job or plan.job
    return check(job, stocked(basis(), job) if job.plantings else basis())


@cache
def drawn(number: int):
    return findings(PLANS[number])


def as_drawn(plan: SmallPlan):
    return drawn(PLANS.index(plan))


def test_there_are_sixty_plans_and_more_each_with_a_name_of_its_own() -> None:
    assert len({one.name for one in PLANS}) == len(PLANS) >= 60


@pytest.mark.parametrize("plan", BY_NAME)
def test_open_points_are_the_known_ones(plan: SmallPlan) -> None:
    assert plan.said(as_drawn(plan)) == plan.open


def test_every_rule_is_open_on_one_plan_and_kept_on_another() -> None:
    """Both sides of every limit that a plan is about."""
    told = Counter((rule, any(one[0] == rule for one in plan.open)) for plan in PLANS for rule in plan.about)
    about = {rule for plan in PLANS for rule in plan.about}
    assert {(rule, side) for rule in about for side in (True, False)} == set(told)


def everything(found):
    """All that is said, but for the words that name a place by its coordinates."""
    return Counter((one.rule, one.severity, one.where, one.measured, one.limit) for one in found)


def anywhere(name: str) -> Placing:
    """Some place and some turn, the same ones for the same plan at every run."""
    by = random.Random(name)
    return Placing(east=by.uniform(-300, 300), north=by.uniform(-300, 300), turn=by.uniform(0, 360))


@pytest.mark.parametrize("plan", BY_NAME)
def test_moving_and_turning_a_plan_changes_nothing(plan: SmallPlan) -> None:
    assert everything(findings(plan, placed(plan.job, anywhere(plan.name)))) == everything(as_drawn(plan))


@pytest.mark.parametrize("plan", BY_NAME)
def test_mirroring_a_plan_changes_nothing_but_east_for_west(plan: SmallPlan) -> None:
    mirrored = findings(plan, placed(plan.job, Placing(mirror=((7.0, 0.0), (7.0, 1.0)))))
    turned = [replace(one, measured=swapped(one.measured)) for one in mirrored]
    assert everything(turned) == everything(as_drawn(plan))


def swapped(words: str) -> str:
    return words.replace("east", "E").replace("west", "east").replace("E", "west")


@pytest.mark.parametrize("plan", [one for one in BY_NAME if one.values[0].about & ROOM])
def test_more_room_never_adds_an_open_point(plan: SmallPlan) -> None:
    """All things further apart, each as large as it was."""
    before = {(one.rule, one.where) for one in as_drawn(plan) if one.rule in ROOM}
    for times in (1.1, 1.7):
        after = {(one.rule, one.where) for one in findings(plan, spread(plan.job, times)) if one.rule in ROOM}
        assert after <= before
