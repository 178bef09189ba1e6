"""The Money sheet: a milestone is reached, its invoice seen, issued and paid; what was wrong is put right in the open."""

import asyncio
import io
import re
from datetime import timedelta
from decimal import Decimal
from uuid import UUID

import pytest
from PIL import Image
from pypdf import PdfReader

from app.documents.pdf import pdf_available
from app.domain.billing import LineKind
from app.services import backups, book, invoicing, jobs, photos, receiving, revisions
from app.services.billed import JobMoney, job_money
from app.services.explaining import explained
from app.services.office import Office
from app.services.sheets import sheet
from tests.offering import offer, order, sign
from tests.web.conftest import Browser, sell
from tests.web.test_doors import DOOR, MONEY
from tests.web.yard import text_of

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


@pytest.fixture
def web(stocked: Office, ready: UUID) -> Browser:
    return Browser(stocked)


def money_of(office: Office, job_id: UUID) -> JobMoney:
    return job_money(office, sheet(office, job_id))


def reach(web: Browser, job_id: UUID, at: int, **more):
    key = money_of(web.office, job_id).milestones[at].milestone.key
    sent = {"day": web.office.clock().date().isoformat(), **more}
    return web.post(f"/jobs/{job_id}/money/reached/{key}", sent, htmx=True)


def issue(web: Browser, job_id: UUID, **more):
    return web.post(f"/jobs/{job_id}/money/invoice", more, htmx=True)


def pay(web: Browser, job_id: UUID, cents: str, **more):
    sent = {"cents": cents, "day": web.office.clock().date().isoformat(), "how": "check", **more}
    return web.post(f"/jobs/{job_id}/money/received", sent, htmx=True)


def words_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def dollars(cents: int) -> str:
    return f"${cents / 100:,.2f}"


def test_nothing_signed_says_what_to_do_first(web: Browser, ready: UUID) -> None:
    page = web.get(f"/jobs/{ready}/money")
    assert page.status_code == 200
    assert "Nothing is signed yet" in text_of(page.text)
    assert "Nothing is signed yet" in text_of(issue(web, ready).text)


@pytest.mark.printed
def test_milestones_are_the_payments_as_they_were_printed(web: Browser, stocked: Office, ready: UUID) -> None:
    sell(stocked, ready)
    found = money_of(stocked, ready)
    signed = revisions.of_job(stocked, ready)[0]
    assert found.contract is not None
    assert sum(row.milestone.cents for row in found.milestones) == signed.price_cents == found.contract.cents
    printed = words_of(revisions.hand_out(stocked, signed.id, "offered"))
    for row in found.milestones:
        assert row.milestone.event in printed
    assert {row.state for row in found.milestones} == {"not reached"}


@pytest.mark.printed
def test_reached_milestone_becomes_an_invoice_that_is_paid(web: Browser, stocked: Office, sold: UUID) -> None:
    said = reach(web, sold, 0)
    assert said.status_code == 200
    assert "Invoice 1, before it is issued" in text_of(said.text)
    first = money_of(stocked, sold).milestones[0].milestone
    said = issue(web, sold)
    assert said.status_code == 200, text_of(said.text)
    found = money_of(stocked, sold)
    (invoice,) = found.invoices
    assert (invoice.number, invoice.total_cents, found.account.balance_cents) == (1, first.cents, first.cents)
    assert invoice.due_on - invoice.issued_on == timedelta(days=14)
    text = words_of(web.get(f"/jobs/{sold}/money/invoice/{invoice.id}.pdf").content)
    for words in ("Invoice 1", "Linnea Whitlock", first.event, dollars(first.cents), dollars(found.contract.cents)):
        assert words in text, words
    assert not re.search("margin|overhead|wage", text)
    pay(web, sold, "100", invoice=invoice.id)
    assert money_of(stocked, sold).account.rows[0].state == "part paid"
    pay(web, sold, str((first.cents - 100_00) / 100), invoice=invoice.id, number="1041")
    found = money_of(stocked, sold)
    assert (found.account.balance_cents, found.milestones[0].state) == (0, "paid")
    page = text_of(web.get(f"/jobs/{sold}/money").text)
    assert "paid, invoice 1" in page


@pytest.mark.printed
def test_every_milestone_in_turn_adds_up_to_the_contract(web: Browser, stocked: Office, sold: UUID) -> None:
    count = len(money_of(stocked, sold).milestones)
    for at in range(count):
        reach(web, sold, at)
        assert issue(web, sold).status_code == 200
    found = money_of(stocked, sold)
    assert found.contract is not None
    assert [one.number for one in reversed(found.invoices)] == list(range(1, count + 1))
    assert found.account.invoiced_cents == found.contract.total_cents - found.contract.fee_cents
    assert found.left_cents == 0
    text = words_of(revisions.hand_out(stocked, found.invoices[0].id, "offered"))
    assert f"Final invoice {count}" in text
    assert "Still to come $0.00" in text


def test_issued_invoice_never_changes_and_is_on_record(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    (invoice,) = money_of(stocked, sold).invoices
    assert jobs.undo_words(stocked, sold) is None, "issuing closes what could be undone"
    path = f"/jobs/{sold}/money/invoice/{invoice.id}.pdf"
    before = web.get(path).content
    web.post(f"/jobs/{sold}/client/client/{jobs.open_job(stocked, sold).job.client.id}", {"name": "Somebody Else"})
    assert web.get(path).content == before
    assert "Invoice 1 issued" in text_of(web.get(f"/jobs/{sold}/history").text)
    assert backups.faults(stocked) == ()


def test_void_keeps_number_and_pages_and_the_next_takes_the_next_number(
    web: Browser, stocked: Office, sold: UUID
) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    (invoice,) = money_of(stocked, sold).invoices
    pay(web, sold, "250", invoice=invoice.id)
    said = web.post(f"/jobs/{sold}/money/invoice/{invoice.id}/void", {"reason": " "}, htmx=True)
    assert said.status_code == 422
    assert "Say why it is void" in text_of(said.text)
    web.post(f"/jobs/{sold}/money/invoice/{invoice.id}/void", {"reason": "Wrong day"}, htmx=True)
    found = money_of(stocked, sold)
    assert (found.invoices[0].void_reason, found.account.balance_cents, found.account.credit_cents) == (
        "Wrong day",
        -250_00,
        250_00,
    )
    assert found.milestones[0].state == "reached"
    again = web.post(f"/jobs/{sold}/money/invoice/{invoice.id}/void", {"reason": "Twice"}, htmx=True)
    assert "void already" in text_of(again.text)
    issue(web, sold)
    found = money_of(stocked, sold)
    assert [one.number for one in found.invoices] == [2, 1]
    assert found.account.rows[0].paid_cents == 250_00, "the credit goes on the new one"
    assert backups.faults(stocked) == ()
    assert web.get(f"/jobs/{sold}/money/invoice/{invoice.id}.pdf").status_code == 200


@pytest.mark.printed
def test_payment_is_taken_back_with_a_reason_and_stays_on_the_statement(
    web: Browser, stocked: Office, sold: UUID
) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    pay(web, sold, "250", number="1041")
    (one,) = money_of(stocked, sold).payments
    assert jobs.undo_words(stocked, sold) is None, "a payment is not undone"
    web.post(f"/jobs/{sold}/money/received/{one.id}/back", {"reason": "Bounced"}, htmx=True)
    found = money_of(stocked, sold)
    assert found.account.received_cents == 0
    assert "Bounced" in found.rows[-1].words
    text = words_of(web.get(f"/jobs/{sold}/money/statement.pdf").content)
    for words in ("Statement", "Paid by check 1041", "taken back: Bounced", dollars(found.account.balance_cents)):
        assert words in text, words
    assert web.get(f"/jobs/{sold}/money/received/{one.id}.pdf").status_code == 409


@pytest.mark.printed
def test_receipt_of_the_deposit_says_so(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    cents = money_of(stocked, sold).account.balance_cents
    pay(web, sold, str((cents + 50_00) / 100))
    (one,) = money_of(stocked, sold).payments
    text = words_of(web.get(f"/jobs/{sold}/money/received/{one.id}.pdf").content)
    for words in ("Deposit receipt", f"On invoice 1 {dollars(cents)}", "$50.00", "In your favor after it"):
        assert words in text, words


IMPOSSIBLE_PAYMENTS = (
    ({"cents": "", "how": "check"}, "Amount is empty"),
    ({"cents": "0", "how": "check"}, "The amount is nothing"),
    ({"cents": "12x", "how": "check"}, "12x"),
    ({"cents": "5", "how": "shells"}, "choose one of the list"),
    ({"cents": "5", "how": "cash", "day": "2031-01-01"}, "has not been yet"),
    ({"cents": "5", "how": "cash", "day": "1931-01-01"}, "more than two years ago"),
    ({"cents": "5", "how": "cash", "back": "1"}, "More is to be paid back"),
)


def test_payment_that_cannot_be_is_refused_beside_its_field(web: Browser, stocked: Office, sold: UUID) -> None:
    day = stocked.clock().date().isoformat()
    for sent, words in IMPOSSIBLE_PAYMENTS:  # at one signed job: a refusal leaves it as it was
        said = web.post(f"/jobs/{sold}/money/received", {"day": day, **sent}, htmx=True)
        assert said.status_code == 422, sent
        assert words in text_of(said.text)
        assert money_of(stocked, sold).payments == ()


def test_invoice_without_a_reached_milestone_is_refused(web: Browser, stocked: Office, sold: UUID) -> None:
    key = money_of(stocked, sold).milestones[0].milestone.key
    said = issue(web, sold, **{"milestones": key, "milestones.sent": "1"})
    assert said.status_code == 422
    assert "not marked as reached yet" in text_of(said.text)
    reach(web, sold, 0)
    issue(web, sold)
    assert reach(web, sold, 0).status_code == 422
    assert web.post(f"/jobs/{sold}/money/reached/{key}/remove", htmx=True).status_code == 422


def test_same_change_sent_twice_issues_and_receives_once(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    first = {"change_id": "8f0a1a52-6a49-4a3e-8f0f-1e3c8a1b7f01"}
    for _ in range(2):
        issue(web, sold, **first)
    second = {"change_id": "8f0a1a52-6a49-4a3e-8f0f-1e3c8a1b7f02"}
    for _ in range(2):
        pay(web, sold, "75", **second)
    found = money_of(stocked, sold)
    assert (len(found.invoices), found.account.received_cents) == (1, 75_00)


@pytest.mark.printed
def test_credit_and_words_go_on_the_invoice(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    said = issue(web, sold, credit="40")
    assert said.status_code == 422
    assert "Say what the credit is for" in text_of(said.text)
    issue(web, sold, credit="40", credit_words="Gate came late")
    (invoice,) = money_of(stocked, sold).invoices
    assert invoice.sum_of(LineKind.CREDIT) == -40_00
    assert "Gate came late" in words_of(revisions.hand_out(stocked, invoice.id, "offered"))


def test_money_sheet_has_a_door_for_every_figure(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    pay(web, sold, "1200", invoice=money_of(stocked, sold).invoices[0].id)
    day = stocked.clock().date().isoformat()
    sent = {"to": "Stoltz Electric", "cents": "640.50", "day": day, "paid_for": "subcontractor"}
    web.post(f"/jobs/{sold}/money/paid-out", sent)
    page = web.get(f"/jobs/{sold}/money").text
    main = re.sub(r"<svg.*?</svg>", "", page.split("<main", 1)[1], flags=re.DOTALL)
    bare = re.sub(r'value="[^"]*"|<p class="hint".*?</p>', "", DOOR.sub("", main))
    assert [one for one in MONEY.findall(bare) if one != "$0"] == []
    hrefs = {href for href, _ in DOOR.findall(page)}
    assert len(hrefs) > 12
    assert [href for href in hrefs if web.get(href, headers={"hx-request": "true"}).status_code != 200] == []
    view = sheet(stocked, sold)
    found = money_of(stocked, sold)
    assert round(explained(stocked, view, "money:balance").result * 100) == found.account.balance_cents
    assert round(explained(stocked, view, "money:left").result * 100) == found.left_cents
    assert found.ahead_cents == 1_200_00 - 640_50
    assert "The client is ahead by $559.50" in text_of(page)
    assert web.get(f"/jobs/{sold}/why/money:nonsense").status_code == 404


def test_numbers_have_no_gap_however_many_issue_at_once(web: Browser, stocked: Office, sold: UUID) -> None:
    """Four invoices of one job asked for at the same moment: one number each, in a row, each milestone once."""
    rows = money_of(stocked, sold).milestones
    for row in rows:
        receiving.reach(stocked, sheet(stocked, sold), row.milestone.key, stocked.clock().date(), (), order())

    async def all_at_once():
        view = sheet(stocked, sold)
        asked = [invoicing.Asked(milestones=(row.milestone.key,)) for row in rows]
        return await asyncio.gather(*(invoicing.issue(stocked, view, one, order()) for one in asked))

    issued = asyncio.run(all_at_once())
    assert sorted(one.number for one in issued) == list(range(1, len(rows) + 1))
    found = money_of(stocked, sold)
    assert found.contract is not None
    assert found.account.invoiced_cents == found.contract.total_cents - found.contract.fee_cents


def with_terms(office: Office, **fields) -> None:
    """The firm's terms of payment from now on: a contract holds those it was signed with."""
    version = book.own(office, "firm").version("firm", office.firm_id)
    book.set_fields(office, "firm", office.firm_id, version, fields, order("terms"))


@pytest.mark.printed
def test_retainage_and_late_charge_are_those_the_contract_was_signed_with(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    with_terms(stocked, retainage=Decimal("0.1"), late_charge=Decimal("0.015"), late_after_days=10)
    one = offer(stocked, ready)
    for signer in one.signers:
        sign(stocked, ready, one.id, signer.name)
    assert "10% of each payment is held back" in words_of(revisions.hand_out(stocked, one.id, "offered"))
    with_terms(stocked, retainage=Decimal(0), late_charge=Decimal(0))
    reach(web, ready, 0)
    issue(web, ready)
    found = money_of(stocked, ready)
    draw = found.milestones[0].milestone.cents
    assert found.held_cents == round(draw / 10)
    assert found.account.balance_cents == draw - found.held_cents
    stocked.clock.now += timedelta(days=14 + 10 + 30)
    reach(web, ready, 1)
    page = text_of(web.get(f"/jobs/{ready}/money?focus=draft").text)
    assert "Late charge on invoice 1" in page
    issue(web, ready, **{"late.sent": "1", "late": found.invoices[0].id})
    late = money_of(stocked, ready).invoices[0].sum_of(LineKind.LATE)
    assert late == round(found.account.balance_cents * 30 * 0.18 / 365)
    for at in range(2, len(found.milestones)):
        reach(web, ready, at)
    issue(web, ready)
    found = money_of(stocked, ready)
    assert (found.held_cents, found.left_cents) == (0, 0)
    assert found.account.invoiced_cents == (found.contract.total_cents if found.contract else 0) + late


@pytest.mark.printed
def test_photos_of_a_milestone_go_on_its_invoice(web: Browser, stocked: Office, sold: UUID) -> None:
    drawn = io.BytesIO()
    Image.new("RGB", (640, 480), "#99aa88").save(drawn, "JPEG")
    told = {"caption": "Base compacted", "when": "during"}
    photo = asyncio.run(photos.add_photo(stocked, sold, drawn.getvalue(), told, order()))
    assert "Base compacted" in web.get(f"/jobs/{sold}/money?focus=reach:{first_key(stocked, sold)}").text
    reach(web, sold, 0, photo_ids=str(photo))
    issue(web, sold)
    (invoice,) = money_of(stocked, sold).invoices
    assert invoice.photo_ids == (photo,)
    pdf = PdfReader(io.BytesIO(revisions.hand_out(stocked, invoice.id, "offered")))
    assert sum(len(page.images) for page in pdf.pages) == 1
    assert "Base compacted" in words_of(revisions.hand_out(stocked, invoice.id, "offered"))


def first_key(office: Office, job_id: UUID) -> str:
    return money_of(office, job_id).milestones[0].milestone.key
