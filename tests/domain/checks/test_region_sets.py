"""What differs by place: each region's set is complete or marked unreviewed; unreviewed is strict and says so."""

from dataclasses import replace

import pytest

from app.domain.basis import Basis
from app.domain.checks import check
from app.domain.checks.regions import DEPOSIT, DIG, FIRE, STRICTEST, WALL, region_set, regions_known, rule_in
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, RunKind
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, with_existing, with_feature, with_run, with_zone

TOPICS = (DIG, WALL, FIRE, DEPOSIT)


def of(rule: str, job: Job, on: Basis | None = None) -> list[Finding]:
    return [one for one in check(job, on or basis()) if one.rule == rule]


def in_state(job: Job, state: str) -> Job:
    return replace(job, head=replace(job.head, state=state))


def own(rule: str, value: float) -> Basis:
    """The library with the firm's own value of a rule, and its reason."""
    shipped = basis()
    changed = replace(shipped.rules[rule], value=value, reason="The town's office, Ms. Alder, in May")
    return replace(shipped, rules={**shipped.rules, rule: changed})


def test_every_region_has_each_topic_reviewed_with_source_and_day_or_marked_and_strict() -> None:
    known = basis()
    regions = list(regions_known(known))
    assert {"PA, Pennsylvania", "AL, Alabama"} <= set(regions)
    for region in (*regions, "Ohio", ""):
        found = region_set(known, region)
        assert tuple(one.topic for one in found) == TOPICS
        for one in found:
            assert one.rule.source
            assert one.rule.reviewed
            if one.reviewed:
                assert one.rule.region == region
            else:
                assert one.rule.id == STRICTEST[one.topic]
                rows = [rule for key, rule in known.rules.items() if key.startswith(f"{one.topic}-") and rule.region]
                assert all(_at_least_as_strict(one.topic, one.rule.value, rule.value) for rule in rows)


def _at_least_as_strict(topic: str, strict: float, value: float) -> bool:
    """Of a dig tolerance and a distance the larger is stricter, of a height and a share the smaller."""
    return strict >= value if topic in {DIG, FIRE} else strict <= value


def test_firm_s_own_value_with_its_reason_counts_as_reviewed() -> None:
    (before,) = [one for one in region_set(basis(), "Ohio") if one.topic == WALL]
    (after,) = [one for one in region_set(own("wall-height", 3.0), "Ohio") if one.topic == WALL]
    assert (before.reviewed, after.reviewed, after.rule.value) == (False, True, 3.0)


@pytest.mark.parametrize(("height", "said"), [(1.5, 0), (1.51, 1), (3.5, 1)])
def test_wall_where_nobody_reviewed_the_town_warns_from_two_feet(height: float, said: int) -> None:
    """6 in are buried at these heights: 1 ft 6 in above ground make 2 ft. Source: the recipe, arithmetic."""
    job = with_run(
        empty(),
        "Bank",
        "retaining-wall",
        kind=RunKind.WALL,
        length=20.0,
        height=height,
        parameters={"buried": "6*inch"},
    )
    found = of("wall-height-strict", in_state(job, "PA"))
    assert [(one.severity, one.stop) for one in found] == [(Severity.WARN, Stop.NONE)] * said
    assert all("not reviewed for PA" in one.source for one in found)
    assert of("wall-height-strict", job, own("wall-height", 4.0)) == []


def test_wall_above_the_model_code_stops_once() -> None:
    job = with_run(empty(), "Bank", "retaining-wall", kind=RunKind.WALL, length=20.0, height=4.5)
    assert of("wall-height-strict", job) == []
    assert [one.stop for one in of("wall-height", job)] == [Stop.LAW]


def test_fire_says_that_the_place_was_not_reviewed_until_the_firm_gives_its_value() -> None:
    job = with_zone(empty(), "A", rectangle(30, 30, at=(5, 25)))
    job = with_feature(job, "Fire", "fire-wood", x=20.0, y=40.0)
    (found,) = of("fire-distance-wood", in_state(job, "OH"))
    assert "not reviewed for OH" in found.source
    (ours,) = of("fire-distance-wood", job, own("fire-distance-wood", 20.0))
    assert "not reviewed" not in ours.source
    assert ours.limit == "at least 20'-0\""


@pytest.mark.parametrize(("state", "apart", "said"), [("", 1.9, 1), ("AL", 1.9, 0), ("AL", 1.4, 1), ("", 2.0, 0)])
def test_digging_by_hand_beside_a_mark_goes_by_the_state(state: str, apart: float, said: int) -> None:
    """24 in where nobody reviewed the state, 18 in in Alabama."""
    job = with_existing(with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), "unit-pavers"), "Main", "other")
    (line,) = job.existing
    job = replace(job, existing=(replace(line, utility="gas", points=((-20, 50 - apart), (30, 50 - apart))),))
    found = [one for one in check(in_state(job, state), basis()) if one.rule.startswith(DIG)]
    assert [one.severity for one in found] == [Severity.NOTE] * said
    assert all("Zone A, Place A" in one.measured for one in found)
    if said:
        assert ("not reviewed" in found[0].source) is (state == "")


def test_a_wire_overhead_is_not_dug_beside() -> None:
    job = with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), "unit-pavers")
    job = with_existing(job, "Wire", "overhead", utility="electric", points=((-20, 55), (30, 55)), height=20.0)
    assert of(DIG, job) == []


def test_a_set_without_its_rules_is_shorter_and_nothing_breaks() -> None:
    known = basis()
    bare = replace(known, rules={key: one for key, one in known.rules.items() if not key.startswith("dig-by-hand")})
    assert rule_in(bare, DIG, "PA") is None
    assert of(DIG, empty(), bare) == []
