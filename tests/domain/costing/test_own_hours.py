"""Own hours: none is left out, and none comes to nothing, without a reason."""

from dataclasses import replace
from datetime import UTC, datetime

from app.domain.basis import Basis, Parameter, Reminder
from app.domain.costing.estimate import estimate
from app.domain.findings import Stop
from app.domain.job import Settlement, Work
from tests.domain.costing.three_zones import BASIS, JOB, key

OWN = replace(BASIS.assemblies["supervision"], group="own hours")


def with_own(assembly=OWN) -> Basis:
    return replace(BASIS, assemblies={**BASIS.assemblies, "supervision": assembly})


def found(job, basis) -> list[str]:
    return [one.measured for one in estimate(job, basis).findings if one.rule == "own-hours-open"]


def works(job, *assemblies: str) -> tuple[Work, ...]:
    return tuple(work for work in job.works if work.assembly not in assemblies)


def test_own_hours_that_are_there_are_no_point() -> None:
    assert found(JOB, with_own()) == []


def test_own_hours_left_out_stop_a_firm_price_until_a_reason_is_given() -> None:
    job = replace(JOB, works=works(JOB, "supervision"))
    assert found(job, with_own()) == ["Supervision, left out"]
    worked = estimate(job, with_own())
    point = next(one for one in worked.findings if one.rule == "own-hours-open")
    assert point.stop is Stop.MONEY
    assert not worked.firm
    reason = Settlement(
        id=key(900),
        finding=point.key,
        by="Maren Oduya",
        reason="The client's son does it",
        on=datetime(2027, 3, 9, tzinfo=UTC),
    )
    assert estimate(replace(job, settlements=(reason,)), with_own()).firm


def test_own_hours_that_come_to_nothing_are_a_point() -> None:
    nothing = replace(
        OWN, tasks=(replace(OWN.tasks[0], amount="hours"),), parameters={"hours": Parameter(label="", value="0*hour")}
    )
    assert found(JOB, with_own(nothing)) == ["Supervision, no hours"]


def test_nothing_is_asked_before_anything_is_built() -> None:
    job = replace(JOB, works=works(JOB, "supervision", "paved", "bed"))
    assert found(job, with_own()) == []


def test_what_a_reminder_asks_for_is_not_asked_twice() -> None:
    reminder = Reminder(key="supervision", title="Supervision", question="Who?", adds="supervision")
    basis = replace(with_own(), reminders={"supervision": reminder})
    assert found(replace(JOB, works=works(JOB, "supervision")), basis) == []
