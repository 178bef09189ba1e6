"""What still stops the crew of a signed yard, each with its door, and who goes on all the same."""

from dataclasses import replace
from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from app.domain.errors import BadValue, NotFound, Refused
from app.domain.job import Approval, LoggedVisit, Stage
from app.services import jobs, ready_to_build
from app.services.checks import Going
from app.services.jobs import changed, made
from app.services.office import Office
from app.services.ready_to_build import ReadyToBuild
from app.services.sheets import sheet
from tests.services.yard_of_ours import priced, told, with_library, yard
from tests.signed_cheaply import signed

WHY = Going(by="Maren Oduya", reason="Asked on the phone; the office wants none for this.")


@pytest.fixture
def job(office: Office) -> UUID:
    priced(with_library(office), "base-stone-34", "bedding-sand")
    return yard(office)


def looked(office: Office, job_id: UUID) -> ReadyToBuild:
    found = ready_to_build.ready_to_build(office, sheet(office, job_id))
    assert found is not None
    return found


def stops(office: Office, job_id: UUID) -> dict[str, str]:
    return {held.point.finding.rule: held.point.href for held in looked(office, job_id).stops}


def say(office: Office, job_id: UUID, kind: str, thing_id: UUID, **fields: object) -> None:
    version = sheet(office, job_id).version(kind, thing_id)
    jobs.save(office, job_id, (changed(kind, thing_id, version, fields),), told())


def test_each_stop_leads_to_where_it_is_settled_and_goes_once_it_is(office: Office, job: UUID) -> None:
    here, view = f"/jobs/{job}", sheet(office, job)
    assert stops(office, job)["not-signed"] == f"{here}/proposal"
    assert "not-ordered" not in stops(office, job)  # nothing is ordered of a draft
    signed(office, job)
    asked = Approval(id=uuid4(), title="Building permit", kind="permit", submitted=view.today)
    visit = LoggedVisit(
        id=uuid4(), day=view.today, who="Inspector", what="Footing", inspection=True, result="not passed"
    )
    jobs.save(office, job, (made("approval", asked), made("logged_visit", visit)), told())
    found = stops(office, job)
    assert "not-signed" not in found
    assert found["ticket-missing"] == f"{here}/site#lines"
    assert found["lines-not-asked"] == f"{here}/site#lines"
    assert found["approval-not-there"] == f"{here}/phases?focus=approval:{asked.id}#margin-part"
    assert found["inspection-not-passed"] == f"{here}/log"
    until = view.today + timedelta(days=20)
    say(office, job, "site", view.job.site.id, ticket="A-1102", ticket_until=until)
    say(office, job, "approval", asked.id, approved=view.today, decided_by="Building office", number="B-7")
    after = looked(office, job)
    assert {"ticket-missing", "approval-not-there"}.isdisjoint(held.point.finding.rule for held in after.stops)
    assert [one.title for one in after.in_hand] == ["Building permit", "Locate ticket"]
    assert after.in_hand[0].words.startswith("Building office, number B-7, approved ")


def test_what_law_does_not_stop_is_gone_on_with_by_name_and_reason_and_comes_back(office: Office, job: UUID) -> None:
    signed(office, job)
    lines = next(one.point for one in looked(office, job).stops if one.point.finding.rule == "lines-not-asked")
    key = lines.finding.key
    for going, field in ((replace(WHY, by=" "), "by"), (replace(WHY, reason="ok"), "reason")):
        with pytest.raises(BadValue) as wrong:
            ready_to_build.go_on(office, job, key, going, told())
        assert wrong.value.field == field
    ready_to_build.go_on(office, job, key, WHY, told())
    assert "lines-not-asked" not in stops(office, job)
    assert [(one.settlement.by, one.settlement.reason) for one in looked(office, job).gone_on] == [(WHY.by, WHY.reason)]
    with pytest.raises(NotFound):
        ready_to_build.go_on(office, job, key, WHY, told())
    say(office, job, "site", sheet(office, job).job.site.id, private_lines={"gas": "no"})
    assert "lines-not-asked" in stops(office, job)  # it rests on other lines now
    assert looked(office, job).gone_on == ()


def test_law_has_no_way_round(office: Office, job: UUID) -> None:
    signed(office, job)
    ticket = next(one.point for one in looked(office, job).stops if one.point.finding.rule == "ticket-missing")
    assert not ticket.may_settle
    with pytest.raises(Refused):
        ready_to_build.go_on(office, job, ticket.finding.key, WHY, told())


def test_job_that_is_done_asks_for_nothing(office: Office, job: UUID) -> None:
    say(office, job, "job", job, stage=Stage.DONE)
    assert ready_to_build.ready_to_build(office, sheet(office, job)) is None
