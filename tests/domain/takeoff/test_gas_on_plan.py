"""Gas of a whole plan: what stands on it decides heat, pipe and price of its lines, until somebody types another number."""

from dataclasses import replace

import pytest

from app.domain.job import RunKind
from app.domain.takeoff.explained import TakeoffTraces
from app.domain.takeoff.requirements import requirements, worked_parameters
from tests.plans.yards import basis, empty, named, with_feature, with_run

MAIN, BRANCH = named("work 0"), named("work 1")


def job(grill="60000", fire="65000", main=None, branch=None):
    """By hand: from the house 20 ft to a grill; after 10 ft a branch of 10 ft to a fire. Its farthest end lies 20 ft away."""
    made = with_run(empty(), "Main", "gas-run", kind=RunKind.GAS, points=((20, 20), (20, 40)), parameters=main)
    made = with_run(made, "Branch", "gas-run", kind=RunKind.GAS, points=((20, 30), (30, 30)), parameters=branch)
    made = with_feature(made, "Grill", "grill", x=20.0, y=40.0)
    made = with_feature(made, "Fire", "fire-gas", x=30.0, y=30.0, count=1)
    heat = {"grill": grill, "fire-gas": fire}
    works = (
        replace(one, parameters={"heat": heat[one.assembly]}) if one.assembly in heat else one for one in made.works
    )
    return replace(made, works=tuple(works))


def numbers(made):
    return worked_parameters(made, basis(), {"longest"})


def test_the_common_line_carries_both_and_each_goes_by_the_longest_length() -> None:
    found = numbers(job())
    assert [(found[key]["heat"], found[key]["longest"]) for key in (MAIN, BRANCH)] == [(125_000, 20), (65_000, 20)]
    # NFPA 54-2012, natural gas, 0.5 in w.c., 20 ft: 1/2 in carries 118 cu ft/h, 3/4 in 247; 125,000 Btu/h are 121
    assert [round(found[key]["inside"], 3) for key in (MAIN, BRANCH)] == [0.824, 0.622]


def test_an_edit_of_what_burns_changes_the_lines_it_hangs_on() -> None:
    numbers(job())  # kept
    found = numbers(job(grill="160000"))
    assert [found[key]["heat"] for key in (MAIN, BRANCH)] == [225_000, 65_000]


def test_two_heaters_at_one_place_burn_twice_as_much() -> None:
    made = job()
    made = replace(made, features=tuple(replace(one, count=2) if one.title == "Fire" else one for one in made.features))
    assert numbers(made)[BRANCH]["heat"] == 130_000


def test_what_was_typed_goes_before_what_stands_on_the_plan_and_both_are_told() -> None:
    made = job(main={"heat": "90000"})
    assert numbers(made)[MAIN]["heat"] == 90_000
    traces = TakeoffTraces(made, basis())
    told = traces.unset_numbers(MAIN)["heat"]
    assert told.result == 125_000
    assert [one.source for one in told.steps] == ["Grill 60,000, Fire 65,000 Btu/h from the plan"]
    assert traces.numbers(MAIN)["heat"].steps == ()


def test_what_is_not_known_is_named_and_what_is_assumed_holds_only_while_nothing_is_known() -> None:
    found = TakeoffTraces(job(fire="0"), basis())
    main, branch = (found.numbers(key)["heat"] for key in (MAIN, BRANCH))
    assert (main.result, branch.result) == (60_000, 100_000)
    assert [one.source for one in main.steps] == ["Grill 60,000 Btu/h from the plan; not known yet: Fire"]
    assert [one.source for one in branch.steps] == ["not known yet: Fire"]


@pytest.mark.parametrize(("grill", "wanted"), [("60000", "gas-allowance"), ("900000", "gas-allowance-large")])
def test_the_allowance_follows_the_pipe_s_size(grill, wanted) -> None:
    needed, _ = requirements(job(grill=grill), basis())
    assert {one.key for one in needed if one.work_id == MAIN and one.role == "gas run"} == {wanted}


def test_a_line_told_by_its_length_alone_goes_by_it() -> None:
    made = with_run(empty(), "Main", "gas-run", kind=RunKind.GAS, length=33.0)
    found = numbers(made)[MAIN]
    assert (found["longest"], found["heat"]) == (33.0, 100_000.0)
