"""An option that was left open is taken later at the very price that was printed, whatever prices do in between."""

import io
import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from uuid import UUID

import pytest
from pypdf import PdfReader

from app.documents.pdf import pdf_available
from app.domain.billing import Invoice, LineKind, draw_up
from app.services import book, build, held_offers, revisions
from app.services.contracts import contract_of
from app.services.explaining import explained
from app.services.later_options import later
from app.services.office import Office
from app.services.proposals import next_draft
from app.services.sheets import sheet
from app.worker.running import Worker
from tests.offering import consents, offer, order, sign
from tests.web.conftest import Browser
from tests.web.test_choices import another_way, job_of, make_option, money, with_a_bed
from tests.web.yard import text_of
from tests.working_here import done_here

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
PRINTED: dict[str, int] = {}  # the price beside each option on the offered pages, which are the same in every test


@dataclass(frozen=True)
class Offered:
    """A job with two options left open, offered: the revision, the options, and their prices as printed [cents]."""

    job_id: UUID
    revision: revisions.Revision
    bed: UUID
    gravel: UUID
    printed: dict[UUID, int]


@pytest.fixture
def web(stocked: Office, ready: UUID) -> Browser:
    return Browser(stocked)


@pytest.fixture
def offered(web: Browser, stocked: Office, ready: UUID, monkeypatch: pytest.MonkeyPatch) -> Offered:
    bed = make_option(web, ready, with_a_bed(stocked, ready), title="The long bed")
    gravel = make_option(web, ready, another_way(stocked, ready), title="In gravel instead")
    web.post(f"/jobs/{ready}/choices/option/{bed}/tick", {"taken": ""})
    with monkeypatch.context() as patch:
        if not PRINTED:
            patch.setattr(Worker, "_do", done_here)
        one = offer(stocked, ready)
    if not PRINTED:
        text = pages(web, f"/jobs/{ready}/revisions/{one.id}/offered.pdf")
        PRINTED.update({title: printed_beside(text, title) for title in ("The long bed", "In gravel instead")})
    printed = {bed: PRINTED["The long bed"], gravel: PRINTED["In gravel instead"]}
    return Offered(ready, one, bed, gravel, printed)


def pages(web: Browser, path: str) -> str:
    pdf = web.get(path).content
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def printed_beside(text: str, title: str) -> int:
    """The price printed beside an option [cents]: added, or saved."""
    found = re.search(rf"{title}.*?(\+|saves )\$([\d,]+)(\.\d\d)?", text)
    assert found, text
    cents = round(float(found[2].replace(",", "") + (found[3] or "")) * 100)
    return cents if found[1] == "+" else -cents


def dearer(office: Office) -> None:
    """From now on the firm wants twice the profit."""
    version = book.own(office, "firm").version("firm", office.firm_id)
    book.set_fields(office, "firm", office.firm_id, version, {"margin": Decimal("0.32")}, order("margin"))


def signed_by_all(office: Office, one: Offered) -> None:
    for signer in one.revision.signers:
        sign(office, one.job_id, one.revision.id, signer.name)


def tick(web: Browser, one: Offered, option: UUID, taken: str = "1", initials: str = "LW"):
    sent = {"taken": taken, "initials": initials, "lift": "1"}
    return web.post(f"/show/{one.job_id}/options/{option}", sent, htmx=True)


def test_open_offer_a_tick_adds_the_printed_price_though_prices_rose(
    web: Browser, stocked: Office, offered: Offered
) -> None:
    dearer(stocked)
    now = sheet(stocked, offered.job_id).estimate.price_cents
    assert now > offered.revision.price_cents
    for option in (offered.bed, offered.gravel):
        said = text_of(tick(web, offered, option).text)
        wanted = offered.revision.price_cents + offered.printed[option]
        assert f"Together, with what is ticked {money(wanted)}"[:45] in said
        assert next_draft(stocked, sheet(stocked, offered.job_id)).price_cents == wanted
        tick(web, offered, option, taken="")
    tick(web, offered, offered.bed)
    page = web.get(f"/jobs/{offered.job_id}/proposal").text
    assert "its prices hold until" in text_of(page)
    again = offer(stocked, offered.job_id)
    assert again.price_cents == offered.revision.price_cents + offered.printed[offered.bed]
    assert again.holds_until == offered.revision.holds_until, "held prices are promised no longer than before"
    trace = explained(stocked, sheet(stocked, offered.job_id), "contract")
    assert round(trace.result * 100) == again.price_cents


def test_open_offer_taken_back_or_a_job_drawn_otherwise_is_priced_anew(
    web: Browser, stocked: Office, offered: Offered
) -> None:
    dearer(stocked)
    view = sheet(stocked, offered.job_id)
    assert next_draft(stocked, view).price_cents == offered.revision.price_cents
    web.post(f"/jobs/{offered.job_id}/proposal/revisions/{offered.revision.id}/withdraw")
    view = sheet(stocked, offered.job_id)
    assert next_draft(stocked, view).price_cents == view.estimate.price_cents > offered.revision.price_cents


@pytest.mark.printed
def test_signed_then_taken_is_the_signed_sum_and_the_printed_price(
    web: Browser, stocked: Office, offered: Offered
) -> None:
    signed_by_all(stocked, offered)
    dearer(stocked)
    page = text_of(tick(web, offered, offered.bed).text)
    wanted = offered.revision.price_cents + offered.printed[offered.bed]
    assert money(wanted) in page
    sent = web.post(f"/show/{offered.job_id}/options/change")
    assert sent.status_code == 303
    change = revisions.of_job(stocked, offered.job_id)[0]
    assert (change.kind, change.price_cents, change.holds_until) == ("change", wanted, offered.revision.holds_until)
    page = web.get(f"/show/{offered.job_id}/options").text
    assert f"/sign/{change.id}" in page, "the page that waits is signed, not made again"
    assert "Make the page to sign" not in page
    text = pages(web, f"/show/{offered.job_id}/file/{change.id}/offered.pdf")
    for words in ("options taken", "The long bed", "LW", money(offered.revision.price_cents), money(wanted)):
        assert words in text, words
    assert printed_beside(text, "The long bed") == offered.printed[offered.bed]
    assert not re.search("cost|margin|overhead", text)
    strokes = {"agree": "1", "place": "home", "strokes": "[[[10,10],[50,40],[80,12]]]"}
    consents(web, offered.job_id, change)
    for signer in change.signers:
        sent = web.post(f"/show/{offered.job_id}/sign/{change.id}", {"name": signer.name, **strokes})
        assert sent.status_code == 303
    stands = build.build_sheet(stocked, sheet(stocked, offered.job_id)).stands
    assert stands.signed is not None
    assert stands.signed.id == change.id
    assert {one.id for one in stands.job.options if one.taken} == {offered.bed}
    shown = text_of(web.get(f"/show/{offered.job_id}/options?lift=true").text)
    assert f"As signed {money(wanted)}"[:30] in shown
    # a second one, later: again its printed price, on what is signed by then
    tick(web, offered, offered.gravel)
    found = later(stocked, sheet(stocked, offered.job_id))
    assert found.together_cents == wanted + offered.printed[offered.gravel]
    assert round(explained(stocked, sheet(stocked, offered.job_id), "later").result * 100) == found.together_cents


def test_signed_page_waits_while_its_ticks_are_others(web: Browser, stocked: Office, offered: Offered) -> None:
    signed_by_all(stocked, offered)
    tick(web, offered, offered.bed)
    web.post(f"/show/{offered.job_id}/options/change")
    change = revisions.of_job(stocked, offered.job_id)[0]
    tick(web, offered, offered.bed, taken="")
    assert "offered again" in text_of(web.get(f"/show/{offered.job_id}/sign/{change.id}").text)
    assert web.post(f"/show/{offered.job_id}/options/change").status_code == 422, "nothing is ticked"
    tick(web, offered, offered.gravel)
    web.post(f"/jobs/{offered.job_id}/proposal/change/offer")
    newest = revisions.of_job(stocked, offered.job_id)[0]
    assert newest.price_cents == offered.revision.price_cents + offered.printed[offered.gravel]
    assert revisions.read(stocked, change.id).state == "superseded"


def test_signed_what_is_signed_stays_ticked_and_what_was_not_printed_is_no_option(
    web: Browser, stocked: Office, offered: Offered
) -> None:
    signed_by_all(stocked, offered)
    tick(web, offered, offered.bed)
    web.post(f"/show/{offered.job_id}/options/change")
    change = revisions.of_job(stocked, offered.job_id)[0]
    for signer in change.signers:
        sign(stocked, offered.job_id, change.id, signer.name)
    answer = tick(web, offered, offered.bed, taken="")
    assert answer.status_code == 422
    assert "part of what was signed" in text_of(answer.text)
    fresh = make_option(web, offered.job_id, job_of(stocked, offered.job_id).zones[0].id, title="New since")
    assert tick(web, offered, fresh).status_code == 422
    assert tick(web, offered, offered.gravel, initials="").status_code == 422


def test_signed_after_the_last_day_nothing_is_taken_at_the_old_price(
    web: Browser, stocked: Office, offered: Offered
) -> None:
    signed_by_all(stocked, offered)
    tick(web, offered, offered.bed)
    left = offered.revision.holds_until - revisions.today_at(stocked, "America/New_York")
    stocked.clock.now += left
    assert later(stocked, sheet(stocked, offered.job_id)).holds, "its last day is a day of it"
    stocked.clock.now += timedelta(days=1)
    answer = tick(web, offered, offered.gravel)
    assert answer.status_code == 422
    assert "held until" in text_of(answer.text)
    assert web.post(f"/show/{offered.job_id}/options/change").status_code == 422
    assert "Make the page to sign" not in web.get(f"/show/{offered.job_id}/options?lift=true").text


def test_signed_price_stays_under_its_cover(web: Browser, stocked: Office, offered: Offered) -> None:
    signed_by_all(stocked, offered)
    tick(web, offered, offered.bed)
    assert "$" not in text_of(web.get(f"/show/{offered.job_id}/options").text)


def test_offer_that_kept_no_prices_of_options_has_them_by_what_it_kept(
    stocked: Office, offered: Offered, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A proposal of a release before this one: its job and prices say again what was printed."""
    monkeypatch.setattr(held_offers, "results_of", lambda *_: {})
    stocked.database.memory.pop("printed", None)
    assert held_offers.printed_of(stocked, offered.revision).prices == offered.printed


def test_what_was_taken_later_is_billed_with_the_payment_that_was_printed_beside_it(
    web: Browser, stocked: Office, offered: Offered
) -> None:
    signed_by_all(stocked, offered)
    tick(web, offered, offered.bed)
    web.post(f"/show/{offered.job_id}/options/change")
    change = revisions.of_job(stocked, offered.job_id)[0]
    for signer in change.signers:
        sign(stocked, offered.job_id, change.id, signer.name)
    contract = contract_of(stocked, sheet(stocked, offered.job_id))
    assert contract is not None
    (one,) = contract.changes
    assert (one.cents, "The long bed" in one.title) == (offered.printed[offered.bed], True)
    assert contract.total_cents == change.price_cents
    billed: list[Invoice] = []
    for milestone in contract.milestones:
        drawn = draw_up(contract, billed, [milestone.key])
        made = Invoice(id=milestone.key, number=1, issued_on=one.day, due_on=one.day, lines=drawn.lines)
        goes = one.paid_with in (milestone.words, f"{milestone.event} {milestone.phase}".strip())
        assert (made.sum_of(LineKind.CHANGE) == one.cents) == goes, milestone.words
        billed.append(made)
    assert sum(each.total_cents for each in billed) == change.price_cents
