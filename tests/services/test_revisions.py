"""Offered bytes, signed copies that begin with them, and what is refused."""

import asyncio
import re
from datetime import timedelta
from io import BytesIO
from uuid import UUID, uuid4

import pytest
from pypdf import PdfReader

from app.db.repositories import record, record_check, things
from app.domain.errors import Refused
from app.interchange.job_file import read_job_file
from app.services import closing_offers, jobs, revisions
from app.services.jobs import changed, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from tests.offering import offer, order, sign


def test_offer_keeps_job_results_and_pdf_and_supersedes_the_earlier(stocked: Office, ready: UUID) -> None:
    first = offer(stocked, ready)
    second = offer(stocked, ready)
    assert set(first.files) == {"job", "results", "offered"}
    assert (first.number, second.number) == (1, 2)
    states = {one.number: one.state for one in revisions.of_job(stocked, ready)}
    assert states == {1: "superseded", 2: "offered"}
    kept = read_job_file(revisions.hand_out(stocked, second.id, "job"))
    assert kept.job.zones == open_job(stocked, ready).job.zones
    assert open_job(stocked, ready).job.head.stage == "offered"


def test_signed_copies_begin_with_the_offered_bytes_and_wait_for_all(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    offered = revisions.hand_out(stocked, one.id, "offered")
    half = sign(stocked, ready, one.id, "Linnea Whitlock")
    assert half.state == "offered"
    assert half.waits_for == ("Joss Whitlock",)
    done = sign(stocked, ready, one.id, "Joss Whitlock")
    assert done.state == "signed"
    for role in ("signed-1", "signed-2"):
        assert revisions.hand_out(stocked, one.id, role).startswith(offered)
    assert revisions.hand_out(stocked, one.id, "signed") == revisions.hand_out(stocked, one.id, "signed-2")
    assert open_job(stocked, ready).job.head.stage == "signed"
    with stocked.database.read() as connection:
        assert record_check.verify(connection) is None
        assert [e.kind for e in record.history(connection, str(ready))].count("sign") == 2


def test_signed_copy_prints_the_newest_entry_of_the_record_before_it(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    with stocked.database.read() as connection:
        head = record.head(connection)
    sign(stocked, ready, one.id, "Linnea Whitlock", place="office")
    pages = PdfReader(BytesIO(revisions.hand_out(stocked, one.id, "signed"))).pages
    assert head in re.sub(r"\s", "", pages[-1].extract_text())
    with stocked.database.read() as connection:
        assert record.head(connection) != head


def test_signing_twice_by_a_stranger_or_after_the_day_is_refused(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    sign(stocked, ready, one.id, "Linnea Whitlock")
    with pytest.raises(Refused, match="not awaited"):
        sign(stocked, ready, one.id, "Linnea Whitlock")
    with pytest.raises(Refused, match="not awaited"):
        sign(stocked, ready, one.id, "Somebody Else")
    stocked.clock.now += timedelta(days=31)  # type: ignore[attr-defined]
    with pytest.raises(Refused, match="held until April 8"):
        sign(stocked, ready, one.id, "Joss Whitlock")


def test_range_cannot_be_offered(stocked: Office, ready: UUID) -> None:
    opened = open_job(stocked, ready)
    alternative = opened.job.alternatives[0]
    sketch = changed(
        "alternative", alternative.id, opened.version("alternative", alternative.id), {"measured": "sketch"}
    )
    save(stocked, ready, (sketch,), order())
    with pytest.raises(Refused, match="is a sketch"):
        offer(stocked, ready)


def test_later_price_moves_the_draft_and_never_the_revision(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    before = revisions.hand_out(stocked, one.id, "results")
    pdf = revisions.hand_out(stocked, one.id, "offered")
    price = sheet(stocked, ready).estimate.price_cents
    base = next(key for key in stocked.basis().prices if key.startswith("base-stone"))
    save(stocked, None, (changed("price", base, 1, {"unit_price": "99"}),), order())
    assert sheet(stocked, ready).estimate.price_cents > price
    assert revisions.hand_out(stocked, one.id, "results") == before
    assert revisions.hand_out(stocked, one.id, "offered") == pdf


def test_undo_stops_at_an_offer(stocked: Office, ready: UUID) -> None:
    offer(stocked, ready)
    with pytest.raises(Refused):
        jobs.undo(stocked, ready, uuid4())


def test_withdrawn_offer_cannot_be_signed(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    closing_offers.withdraw(stocked, one.id, order())
    with pytest.raises(Refused, match="withdrawn"):
        sign(stocked, ready, one.id, "Linnea Whitlock")


def test_design_agreement_is_offered_and_signed_like_a_proposal(stocked: Office, ready: UUID) -> None:
    from app.services import agreements

    with pytest.raises(Refused, match="no fee"):
        agreements.design_draft(stocked, sheet(stocked, ready))
    opened = open_job(stocked, ready)
    fee = changed("job", ready, opened.version("job", ready), {"design_fee_cents": 145_000, "design_credit": "no"})
    save(stocked, ready, (fee,), order())
    one = asyncio.run(agreements.offer_design(stocked, sheet(stocked, ready), order()))
    assert (one.kind, one.price_cents, one.waits_for) == (
        "design agreement",
        145_000,
        ("Linnea Whitlock", "Joss Whitlock"),
    )
    sign(stocked, ready, one.id, "Linnea Whitlock")
    done = sign(stocked, ready, one.id, "Joss Whitlock")
    assert done.state == "signed"
    assert open_job(stocked, ready).job.head.stage == "lead"  # the yard itself is not sold yet


def test_offer_is_refused_while_an_open_point_stops_the_signing(stocked: Office, ready: UUID) -> None:
    with stocked.database.read() as connection:
        firm = things.read_things(connection, stocked.firm_id, "firm")[0]
    save(stocked, None, (changed("firm", stocked.firm_id, firm.version, {"license": ""}),), order())
    with pytest.raises(Refused, match="license"):
        offer(stocked, ready)
