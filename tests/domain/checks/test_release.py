"""The locate ticket, private lines and permits before the crew begins: both sides of each day, and each missing input."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.checks.release import line_points, permit_points, ticket_points
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import PRIVATE_LINES, Answer, Approval, Job
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, site, with_feature, with_run, with_zone

TODAY = date(2027, 5, 10)


def digging() -> Job:
    return with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), "unit-pavers")


def ticket(job: Job, until: date | None = None) -> list[Finding]:
    return list(ticket_points(job, basis(), TODAY, until))


@pytest.mark.parametrize(
    ("number", "last", "lacks"),
    [
        ("", None, "no ticket: number and last day"),
        ("A-1102", None, "no ticket: its last day"),
        ("", TODAY, "no ticket: its number"),
        ("A-1102", TODAY - timedelta(days=1), "A-1102 until May 9, 2027"),
    ],
)
def test_ticket_that_is_not_whole_or_ran_out_stops_digging(number: str, last: date | None, lacks: str) -> None:
    (found,) = ticket(site(digging(), ticket=number, ticket_until=last))
    assert (found.severity, found.stop, found.where, found.measured) == (Severity.STOP, Stop.LAW, "site", lacks)


@pytest.mark.parametrize(("until", "rules"), [(None, []), (TODAY, []), (TODAY + timedelta(days=1), ["ticket-ends"])])
def test_ticket_holds_on_its_last_day_and_is_held_against_the_end_of_the_phase(until, rules) -> None:
    job = site(digging(), ticket="A-1102", ticket_until=TODAY)
    assert [one.rule for one in ticket(job, until)] == rules


def test_where_nothing_is_dug_no_ticket_is_asked_for() -> None:
    assert ticket(empty()) == []
    assert list(line_points(empty(), basis())) == []


def test_private_lines_are_one_point_until_all_are_known() -> None:
    (found,) = line_points(digging(), basis())
    assert (found.severity, found.stop) == (Severity.STOP, Stop.NONE)
    assert all(words in found.measured for words in PRIVATE_LINES.values())
    (one,) = line_points(site(digging(), private_lines={"gas": Answer.NO}), basis())
    assert PRIVATE_LINES["gas"] not in one.measured
    assert one.key != found.key
    assert list(line_points(site(digging(), private_lines=dict.fromkeys(PRIVATE_LINES, Answer.NO)), basis())) == []


def permits(job: Job) -> list[tuple[str, str]]:
    return [(one.rule, one.measured) for one in permit_points(job, basis())]


def test_work_that_towns_ask_permits_for_wants_one_listed() -> None:
    job = with_feature(with_run(empty(), "Wall", "wall-engineering", height=5.0, length=9.0), "Fire", "fire-gas")
    assert permits(job) == [("permits-not-listed", "engineered walls, gas")]
    assert permits(replace(job, approvals=(Approval(id=named("permit"), kind="permit"),))) == []
    board = replace(job, approvals=(Approval(id=named("board"), kind="association"),))
    assert [rule for rule, _ in permits(board)] == ["permits-not-listed"]


def test_paving_alone_names_no_permit() -> None:
    assert permits(digging()) == []


def test_an_association_wants_its_yes() -> None:
    job = replace(digging(), head=replace(digging().head, association="Quarry Bend Neighbors"))
    assert permits(job) == [("association-not-asked", "Quarry Bend Neighbors")]
    assert permits(replace(job, approvals=(Approval(id=named("board"), kind="association"),))) == []
