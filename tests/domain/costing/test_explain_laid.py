"""Counts of laid units open to what they consist of; each sum is the sum of its parts."""

from dataclasses import replace
from uuid import uuid4

import pytest

from app.domain.costing.explain import explain
from app.domain.costing.explain_laid import laid_figure
from app.domain.errors import NotFound
from app.domain.job import BorderCourse, Job, Laying
from app.domain.plan import rectangle
from tests.plans import yards


def job(laying: Laying | None) -> Job:
    made = yards.with_zone(yards.empty(), "A", rectangle(12, 8), assembly="unit-pavers")
    return replace(made, works=(replace(made.works[0], laying=laying),))


BORDERED = job(Laying(pattern="stack", borders=(BorderCourse(material="paver-brick-smoke"),), corners="butt"))


def figure(of: Job, what: str):
    return laid_figure(of, yards.basis(), f"{of.works[0].id}:{what}")


def test_units_are_whole_and_cut_of_field_and_border() -> None:
    # butted soldiers of 4 by 8 in: 112 whole (by hand in the laying tests); field 15 by 14 of 6 by 9 in
    trace = figure(BORDERED, "units")
    assert trace.result == 112 + 15 * 14
    assert [step.label for step in trace.steps] == ["Field, stack bond", "Border course 1, soldier"]
    assert trace.steps[1].filled == "112 + 0"
    assert trace.steps[0].filled == f"{13 * 12} + {15 * 14 - 13 * 12}"


@pytest.mark.parametrize("what", ["units", "possible", "cuts", "saw", "small"])
def test_a_sum_is_the_sum_of_its_parts(what: str) -> None:
    trace = figure(BORDERED, what)
    assert trace.result == pytest.approx(sum(step.result for step in trace.steps))


def test_what_is_cut_away_is_one_less_the_share_laid() -> None:
    trace = figure(BORDERED, "waste")
    laid, opened = trace.steps
    assert opened.result == pytest.approx(210 * 0.375 + 112 * 4 * 8 / 144)
    assert trace.result == pytest.approx((1 - laid.result / opened.result) * 100)
    assert laid.result == pytest.approx(96, rel=1e-3)  # nominal units without a joint cover the whole outline


def test_a_field_alone_is_told_without_parts() -> None:
    trace = figure(job(Laying(pattern="stack")), "units")
    assert trace.steps == ()
    assert trace.expression == "whole + cut"


def test_what_is_not_laid_has_no_figure() -> None:
    assert figure(job(None), "units") is None
    assert figure(job(Laying(pattern="basket")), "units") is None
    assert figure(BORDERED, "nonsense") is None
    for name in ("", "x:units", f"{uuid4()}:units"):
        assert laid_figure(BORDERED, yards.basis(), name) is None
    with pytest.raises(NotFound):
        explain(BORDERED, yards.basis(), f"laid:{uuid4()}:units")
