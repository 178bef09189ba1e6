"""What is built and bought stands on what was signed; the draft is marked as such."""

from datetime import UTC, date, datetime

import pytest

from app.db.repositories import revisions as rows
from app.db.repositories.revisions import Revision, Signer
from app.domain.errors import NotFound
from app.domain.job import Job
from app.interchange.job_file import write_job_file
from app.interchange.trimming import trimmed
from app.services import build, jobs, revisions
from app.services.jobs import changed, save
from app.services.sheets import sheet
from tests.services.yard_of_ours import job_of, key, priced, told, with_library, yard


def signed(office, job_id, number: int = 1, state: str = "signed") -> Revision:
    """A revision as signing leaves it: the job file by its bytes."""
    opened = jobs.open_job(office, job_id)
    content = write_job_file(opened.job, trimmed(opened.basis, opened.job))
    one = Revision(
        id=str(key(7000 + number)),
        job_id=str(job_id),
        number=number,
        kind="proposal",
        state=state,
        issued_at=f"2027-03-0{number}T10:00:00+00:00",
        holds_until=None,
        price_cents=100,
        job_counter=opened.counter,
        signers=(Signer(name="Linnea Whitlock", signed_at="2027-03-02"),),
        files={"job": revisions.files_of(office).keep(content)},
    )
    with office.database.write() as connection:
        rows.insert_revision(connection, office.firm_id, one, {"job": len(content)})
    return one


def change(office, job_id, kind, thing, **fields):
    opened = jobs.open_job(office, job_id)
    save(office, job_id, (changed(kind, thing.id, opened.version(kind, thing.id), fields),), told())


def bought(office, job_id) -> dict[str, float]:
    made = build.build_sheet(office, sheet(office, job_id))
    return {line.material: line.bought for one in made.orders for line in one.lines}


def terrace(job: Job):
    return next(one for one in job.works if one.assembly == "unit-pavers")


@pytest.fixture
def job_here(office):
    return yard(with_library(office))


def test_draft_is_marked_as_not_signed(office, job_here):
    made = build.build_sheet(office, sheet(office, job_here))
    assert made.stands.signed is None
    assert "Draft, not signed" in build.order_pdf(office, sheet(office, job_here)).html


def test_offer_that_waits_for_a_signature_is_still_a_draft(office, job_here):
    signed(office, job_here, state="offered")
    assert build.build_sheet(office, sheet(office, job_here)).stands.signed is None


def test_orders_stay_what_was_signed_when_the_draft_changes_and_say_so(office, job_here):
    before = bought(office, job_here)
    signed(office, job_here)
    change(office, job_here, "work", terrace(job_of(office, job_here)), parameters={"base": "12*inch"})
    made = build.build_sheet(office, sheet(office, job_here))
    assert bought(office, job_here) == before
    assert made.stands.apart
    assert "From signed proposal 1" in build.order_pdf(office, sheet(office, job_here)).html


def test_newest_signed_proposal_counts(office, job_here):
    signed(office, job_here)
    change(office, job_here, "work", terrace(job_of(office, job_here)), parameters={"base": "12*inch"})
    signed(office, job_here, 2)
    made = build.build_sheet(office, sheet(office, job_here))
    assert made.stands.signed.number == 2
    assert not made.stands.apart


def test_later_start_moves_the_day_to_order_but_not_what_was_signed(office, job_here):
    signed(office, job_here)
    phase = job_of(office, job_here).phases[0]
    change(office, job_here, "phase", phase, start=date(2027, 6, 10))
    made = build.build_sheet(office, sheet(office, job_here))
    assert {one.start for one in made.orders if one.phase_number == 1} == {date(2027, 6, 10)}
    assert not made.stands.apart


def test_lists_are_late_or_due_this_week_by_the_day_at_the_site(office, job_here):
    # the office's clock stands at 2027-03-09; pavers have the longest lead, 7 days or more
    phase = job_of(office, job_here).phases[0]
    change(office, job_here, "phase", phase, start=date(2027, 3, 10))
    made = build.build_sheet(office, sheet(office, job_here))
    assert made.late
    assert not set(made.late) & set(made.soon)
    assert all(one.order_by <= date(2027, 3, 9) for one in made.late)
    assert all(date(2027, 3, 9) < one.order_by <= date(2027, 3, 16) for one in made.soon)


def test_call_and_private_lines_come_before_the_crew(office, job_here):
    made = build.build_sheet(office, sheet(office, job_here))
    assert any("Call 811" in one.what for one in made.stops)
    assert "Septic tank or field" in made.unasked


def test_line_found_after_signing_is_on_the_crew_sheet(office, job_here):
    signed(office, job_here)
    change(office, job_here, "site", job_of(office, job_here).site, private_lines={"septic": "yes"})
    _, pages = build.crew_pages(office, sheet(office, job_here), "all")
    assert all(("Septic tank or field", "there is one", True) in page.private_lines for page in pages)
    assert "Septic tank or field" not in build.build_sheet(office, sheet(office, job_here)).unasked


def test_one_suppliers_paper_names_no_other(office, job_here):
    priced(office, "base-stone-34")
    view = sheet(office, job_here)
    keys = {one.supplier: build.list_key(one) for one in build.build_sheet(office, view).orders}
    own = build.order_pdf(office, view, keys["yard"]).html
    assert "Wren Hollow Stone" in own
    assert "No supplier yet" not in own
    other = build.order_pdf(office, view, keys[""]).html
    assert "Wren Hollow Stone" not in other


def test_list_or_sheet_that_is_not_there_is_not_found(office, job_here):
    view = sheet(office, job_here)
    with pytest.raises(NotFound):
        build.order_pdf(office, view, "9-materials-nobody")
    with pytest.raises(NotFound):
        build.crew_pdf(office, view, str(job_of(office, job_here).zones[1].id))  # nothing is placed there


def test_crew_sheets_say_depths_cautions_checks_and_pictures(office, job_here):
    _, (page,) = build.crew_pages(office, sheet(office, job_here), str(job_of(office, job_here).zones[0].id))
    layers = page.works[0].layers
    assert layers[0] == ('9 3/8"', "Dig, below the finished surface")
    assert layers[2] == ('6"', 'Crushed stone, 3/4 in minus, in 2 lifts of 3", each compacted')
    assert any(one.key == "gas" and "licensed gas fitter" in words for one, _, words in page.cautions)
    assert any("811" in line for line in page.checks)
    assert any("before it is covered" in line for line in page.photos)
    assert all(watch for _, said, watch in page.private_lines if "NOT KNOWN" in said)


def test_results_are_worked_out_once_until_the_job_changes(office, job_here, monkeypatch):
    counted = []
    real = build.order
    monkeypatch.setattr(build, "order", lambda *given: counted.append(1) or real(*given))
    view = sheet(office, job_here)
    build.build_sheet(office, view)
    build.build_sheet(office, view)
    assert len(counted) == 1
    change(office, job_here, "work", terrace(view.job), parameters={"base": "8*inch"})
    build.build_sheet(office, sheet(office, job_here))
    assert len(counted) == 2


def test_days_to_cancel_are_said_while_they_run(office, job_here):
    signed(office, job_here)  # on Tuesday, March 2, 2027: Wednesday, Thursday, Friday
    office.clock.now = datetime(2027, 3, 5, 20, tzinfo=UTC)
    (held,) = build.build_sheet(office, sheet(office, job_here)).holds
    assert (held.kind, held.window.last, held.waits) == ("proposal", date(2027, 3, 5), True)
    office.clock.now = datetime(2027, 3, 6, 4, 30, tzinfo=UTC)  # not yet midnight at the site
    assert build.build_sheet(office, sheet(office, job_here)).holds
    office.clock.now = datetime(2027, 3, 6, 6, tzinfo=UTC)
    assert not build.build_sheet(office, sheet(office, job_here)).holds


def test_a_draft_has_nothing_to_cancel(office, job_here):
    assert build.build_sheet(office, sheet(office, job_here)).holds == ()
