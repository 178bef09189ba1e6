"""Approvals the crew waits for: not there, run out, running out, not written down whole. Both sides of each day."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.findings import Stop
from app.domain.job import Approval, Job
from app.domain.phasing.approvals import release_points
from tests.plans.yards import empty, named, with_phase

TODAY = date(2027, 5, 10)
WHOLE = Approval(
    id=named("permit"), title="Building permit", approved=TODAY, decided_by="Building office", number="B-77",
    expires=TODAY,
)  # fmt: skip


def of(one: Approval, job: Job | None = None) -> list[str]:
    return [found.rule for found in release_points(replace(job or empty(), approvals=(one,)), TODAY)]


@pytest.mark.parametrize("submitted", [None, TODAY])
def test_what_is_not_approved_stops_with_who_decides_and_when(submitted: date | None) -> None:
    asked = replace(WHOLE, approved=None, expires=None, submitted=submitted, days=10)
    (found,) = release_points(replace(empty(), approvals=(asked,)), TODAY)
    assert (found.rule, found.stop, found.where) == ("approval-not-there", Stop.LAW, f"approval:{WHOLE.id}")
    assert ("due May 20" if submitted else "not asked for yet") in found.what
    assert "Building office decides" in found.what


@pytest.mark.parametrize(("days", "rules"), [(-1, ["approval-ran-out"]), (0, []), (1, [])])
def test_approval_holds_on_its_last_day(days: int, rules: list[str]) -> None:
    assert of(replace(WHOLE, expires=TODAY + timedelta(days=days))) == rules


@pytest.mark.parametrize(
    ("fields", "lacks"),
    [
        ({"decided_by": " "}, "who decided"),
        ({"number": ""}, "its number"),
        ({"expires": None}, "its last day"),
        ({"decided_by": "", "number": "", "expires": None}, "who decided, its number, its last day"),
    ],
)
def test_approval_is_written_down_with_who_number_and_last_day(fields, lacks: str) -> None:
    (found,) = release_points(replace(empty(), approvals=(replace(WHOLE, **fields),)), TODAY)
    assert (found.rule, found.measured) == ("approval-not-whole", lacks)


def test_an_association_gives_no_number_and_no_last_day() -> None:
    assert of(replace(WHOLE, kind="association", number="", expires=None)) == []


@pytest.mark.parametrize(("done", "rules"), [(TODAY, []), (TODAY + timedelta(days=1), ["approval-ends-early"])])
def test_approval_holds_until_the_work_it_is_for_ends(done: date, rules: list[str]) -> None:
    job = with_phase(with_phase(empty(), 1, done=done), 2, done=TODAY)
    assert of(WHOLE, job) == rules
    assert of(replace(WHOLE, phase_id=job.phases[1].id), job) == []
