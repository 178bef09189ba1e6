"""A settled point comes back when what it rests on changes: its measures, or the firm's own value of its rule."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from app.domain.checks import check, ready_to_sign
from app.domain.findings import Finding
from app.domain.job import Job, Settlement
from app.domain.takeoff.stocked import stocked
from tests.plans.small_plans import SmallPlan, small_plans, spread
from tests.plans.yards import basis, named

PLANS = small_plans()
# points that rest on no length of the plan, or on one that every place of it shares
NO_LENGTH = frozenset(
    {
        "call-before-you-dig",
        "lead-paint",
        "licensed-trade",
        "private-lines",
        "plant-usda-zone",
        "need-unmet",
        "handrail",
    }
    | {"base-thickness", "base-thickness-drive", "fall-away-from-house", "paver-fall", "path-two-abreast"}
    | {"riser-height", "tread-depth", "flight-rise", "flight-width", "stride-most", "single-step", "wall-height"}
    | {"guard", "lip", "step-wanted", "steps-alike", "door-step", "door-sill", "door-landing", "levels-contradict"}
    | {
        "loose-chairs",
        "loose-wheels",
        "loose-heels",
        "loose-shovel",
        "stains",
        "walk-slope",
        "wheel-slope",
        "cross-slope",
    }
    | {"open-under-paving", "counter-door", "drain-end", "lights-fed", "light-volts", "deep-trench", "trench-way-out"}
    | {"lot-rights", "open-water", "ramp-landing", "seat-highest", "edge-open", "bottle-raised", "low-point"}
    | {"counter-openings", "line-cover", "fire-wood-across", "gas-demand"}  # numbers of recipes
)
# points whose limit is no value of the rule: in words, of a table, typed, or of a recipe or a crown that stands before it
NO_VALUE = frozenset(
    {"open-under-paving", "drain-end", "single-step", "over-lot-line", "lot-rights", "private-lines", "plant-usda-zone"}
    | {"licensed-trade", "lead-paint", "fall-to-line", "lights-fed", "basin-joined", "dig-in-roots"}
    | {"setback", "easement", "counter-openings", "house-off-lot", "gas-demand", "line-cover"}
)


def findings(job: Job, on=None) -> tuple[Finding, ...]:
    on = on or basis()
    return check(job, stocked(on, job) if job.plantings else on)


def settled(job: Job, found: tuple[Finding, ...]) -> Job:
    """The job with all its points settled that may be."""
    when = datetime(2027, 1, 4, tzinfo=UTC)
    notes = [Settlement(id=named(one.key), finding=one.key, by="Maren Oduya", reason="Seen.", on=when) for one in found]
    return replace(job, settlements=tuple(notes))


def still_settled(plan: SmallPlan, job: Job, found: tuple[Finding, ...]) -> set[str]:
    """Rules of the plan with a point that a settlement made before still settles."""
    ready = ready_to_sign(found, replace(job, settlements=settled(plan.job, findings(plan.job)).settlements))
    return {one.finding.rule for one in ready.settled} & plan.about


@pytest.mark.parametrize("plan", [pytest.param(one, id=one.name) for one in PLANS if one.open])
def test_settled_points_stay_while_nothing_changes_and_come_back_when_the_plan_does(plan: SmallPlan) -> None:
    missing = {rule for rule, _, measured in plan.open if not any(sign in "123456789" for sign in measured)}
    same = replace(plan.job, zones=tuple(replace(one) for one in plan.job.zones))
    may = {one.finding.rule for one in ready_to_sign(findings(same), settled(same, findings(same))).settled}
    assert still_settled(plan, same, findings(same)) == may & plan.about
    nearer = spread(plan.job, 0.97)
    assert still_settled(plan, nearer, findings(nearer)) <= NO_LENGTH | missing


def test_settled_points_come_back_when_the_firm_changes_the_value_of_their_rule() -> None:
    stayed: set[str] = set()
    for plan in PLANS:
        broken = {one.rule for one in findings(plan.job) if one.rule in plan.about and one.limit}
        for rule in broken & basis().rules.keys():
            value = basis().rules[rule].value
            for other in (value * 1.3, value * 0.7):
                on = basis(**{rule.replace("-", "_"): other})
                if rule in still_settled(plan, plan.job, findings(plan.job, on)):
                    stayed.add(rule)
    assert stayed <= NO_VALUE
