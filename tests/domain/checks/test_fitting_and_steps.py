"""Outlines that overlap or leave a strip; levels that differ where nothing leads from one to the other."""

import pytest

from app.domain.checks import check
from app.domain.checks.steps import flight_words, step_limits
from app.domain.findings import Severity
from app.domain.job import EdgeChoice, ZoneKind
from app.domain.plan import circle, rectangle
from app.domain.trades.steps import flight_for
from tests.plans.yards import basis, empty, named, site, with_edge, with_zone

INCH = 1 / 12


def of(rule, job, on=None):
    return [one for one in check(job, on or basis()) if one.rule == rule]


def two(apart=0.0, upper=None, lower=None, kind=ZoneKind.LOUNGING):
    job = with_zone(empty(house=None), "A", rectangle(20, 12), level=upper, kind=ZoneKind.DINING)
    return with_zone(job, "B", rectangle(10, 12, at=(20 + apart, 0)), level=lower, kind=kind)


def test_ground_that_two_zones_cover_is_told_with_its_area_and_place() -> None:
    (found,) = of("zones-overlap", two(apart=-1.0))
    assert (found.severity, found.where, found.measured) == (
        Severity.WARN, f"zone:{named('zone A')}", "12 sq ft in Zone B, Place B"
    )  # fmt: skip
    assert "near 19'-6\" east, 6'-0\" north" in found.what


def test_zone_within_another_is_to_be_cut_out_of_it() -> None:
    job = with_zone(with_zone(empty(house=None), "A", rectangle(20, 12)), "B", circle(2, at=(8, 6)))
    (found,) = of("zones-overlap", job)
    assert found.where == f"zone:{named('zone B')}"
    assert "Cut Zone B, Place B out of Zone A" in found.remedy


def test_strip_between_two_outlines_is_noted_with_its_width() -> None:
    (found,) = of("strip-between", two(apart=5 * INCH))
    assert 'A strip of 5" lies between Zone A, Place A and Zone B' in found.what
    assert found.severity is Severity.NOTE
    assert of("strip-between", site(two(apart=5 * INCH), meeting_gap=0.5)) == []
    assert of("strip-between", two(apart=1 * INCH)) == of("zones-overlap", two(apart=-1 * INCH)) == []


@pytest.mark.parametrize(("drop", "told"), [(0.5, 0), (0.51, 1), (18, 1)])
def test_levels_that_differ_want_a_step_or_a_slope(drop, told) -> None:
    assert len(of("step-wanted", two(upper=drop * INCH, lower=0.0))) == told


def test_remedy_says_the_steps_and_turns_with_the_side_that_lies_above() -> None:
    (found,) = of("step-wanted", two(upper=0.0, lower=18 * INCH))
    assert found.what.startswith("Zone B, Place B lies above Zone A, Place A")
    assert 'Put 3 risers of 6", treads of 1\'-2" on that edge' in found.remedy
    (low,) = of("step-wanted", two(upper=2 * INCH, lower=0.0))
    assert "slope" in low.remedy


def test_steps_on_the_edge_answer_and_a_flush_edge_does_not() -> None:
    job = two(upper=18 * INCH, lower=0.0)
    assert of("step-wanted", with_edge(job, "A", "B", "steps-at-edge", choice=EdgeChoice.BUILT)) == []
    assert len(of("step-wanted", with_edge(job, "A", "B", "flush-edge", choice=EdgeChoice.BUILT))) == 1


@pytest.mark.parametrize(("drop", "told"), [(6, 0), (6.5, 0), (7, 1)])
def test_a_zone_that_is_a_flight_leads_down_by_one_riser_at_its_ends(drop, told) -> None:
    job = with_zone(empty(house=None), "A", rectangle(20, 12), level=drop * INCH, kind=ZoneKind.DINING)
    flight = rectangle(10, 12, at=(20, 0))
    job = with_zone(job, "B", flight, "stone-steps", level=0.0, kind=ZoneKind.STEPS)
    assert len(of("step-wanted", job)) == told


def test_nobody_steps_down_into_a_bed() -> None:
    assert of("step-wanted", two(upper=18 * INCH, lower=0.0, kind=ZoneKind.PLANTING)) == []


def test_values_of_the_rules_shape_the_flight() -> None:
    limits = step_limits(basis(riser_height=5.0, riser_easy_least=4.0, riser_easy_most=5.0).rules)
    flight = flight_for(18 * INCH, limits)
    assert flight_words(flight, "feet") == '4 risers of 4 1/2", treads of 1\'-5"'
    assert step_limits({}) == type(limits)()


def test_edges_of_one_pair_that_are_open_are_told_as_one_point_with_their_whole_length() -> None:
    job = with_zone(two(), "C", rectangle(20, 5, at=(0, 12)))
    assert len(of("edge-open", job)) == 2
    assert len(of("edge-open", with_edge(job, "A", "B", choice=EdgeChoice.NOTHING))) == 1


@pytest.mark.parametrize(("fall", "told"), [(0.0, 0), (0.006, 0), (0.007, 1)])
def test_drop_that_changes_across_the_steps_is_told(fall, told) -> None:
    """Steps 5 ft wide: a fall of 0.00625 along them is 3/8 in. Source: arithmetic."""
    job = with_zone(empty(house=None), "A", rectangle(20, 12), level=1.5, fall=fall, fall_bearing=0.0)
    job = with_zone(job, "B", rectangle(10, 12, at=(20, 0)), level=0.0)
    job = with_edge(job, "A", "B", "steps-at-edge", choice=EdgeChoice.BUILT)
    assert len(of("steps-alike", job)) == told
