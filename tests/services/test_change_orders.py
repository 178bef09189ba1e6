"""A change order from a signed proposal on: what it names, its bytes, its states with dates, the contract after it."""

import asyncio
import io
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID, uuid4

import pytest
from pypdf import PdfReader

from app.db.repositories import record
from app.documents.pdf import html_to_pdf, pdf_available
from app.domain.errors import Refused
from app.domain.job import ChangeDraft, FoundCondition, LoggedDelay, Phase, ReachedMilestone, UnitPrice
from app.domain.plan.shapes import rectangle
from app.services import agreed as agreed_papers
from app.services import book, build, change_orders, contracts, jobs, revisions
from app.services.explaining import explained
from app.services.jobs import changed, made, open_job
from app.services.office import Office
from app.services.sheets import sheet
from app.services.unsigned_work import RULE
from app.services.zones import NewZone, add_zone
from tests.offering import offer, order, sign

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
ASKED = ("html", "paper", "title", "language", "identifier", "source_date")
SIGNERS = ("Linnea Whitlock", "Joss Whitlock")
ROCK = UUID(int=77)


def save(office: Office, job_id: UUID, *edits) -> None:
    jobs.save(office, job_id, edits, order())


def edit(office: Office, job_id: UUID, kind: str, thing_id: UUID, **fields) -> None:
    save(office, job_id, changed(kind, thing_id, open_job(office, job_id).version(kind, thing_id), fields))


@pytest.fixture
def agreed(stocked: Office, ready: UUID) -> UUID:
    """A signed job of two zones that lie apart, with a price agreed for rock and a last day."""
    bed = NewZone(title="Kitchen", kind="cooking", outline=rectangle(10, 12, at=(60, 0)), measured="taped", assembly="unit-pavers")  # fmt: skip
    add_zone(stocked, ready, bed, order())
    phase = Phase(id=uuid4(), number=1, title="Yard", start=date(2027, 5, 3), done=date(2027, 5, 28))
    save(
        stocked,
        ready,
        made("phase", phase),
        made("unit_price", UnitPrice(id=ROCK, title="Rock", unit="cubic yard", cents=145_01)),
    )
    for zone in open_job(stocked, ready).job.zones:
        edit(stocked, ready, "zone", zone.id, phase_id=phase.id)
    for finding in sheet(stocked, ready).readiness.money:
        raise AssertionError(finding)
    sign_all(stocked, ready, offer(stocked, ready).id)
    return ready


def sign_all(office: Office, job_id: UUID, revision_id: str) -> None:
    for name in SIGNERS:
        sign(office, job_id, revision_id, name)


def dearer(office: Office) -> None:
    """Every price of the book doubled, and twice the profit."""
    own = book.own(office, "firm")
    book.set_fields(office, "firm", office.firm_id, own.version("firm", office.firm_id), {"margin": Decimal("0.32")}, order("margin"))  # fmt: skip
    for key, price in office.basis().prices.items():
        version = book.own(office, "price").version("price", key)
        if version:
            book.set_fields(office, "price", key, version, {"unit_price": price.unit_price * 2}, order("price"))


def larger_kitchen(office: Office, job_id: UUID, depth: float = 16) -> None:
    job = open_job(office, job_id).job
    kitchen = next(zone for zone in job.zones if zone.title == "Kitchen")
    edit(office, job_id, "alternative", job.chosen(kitchen).id, outline=rectangle(10, depth, at=(60, 0)))


def offered(office: Office, job_id: UUID):
    return asyncio.run(change_orders.offer(office, sheet(office, job_id), order("change order")))


def pages(office: Office, revision_id: str, role: str = "offered") -> str:
    read = PdfReader(io.BytesIO(revisions.hand_out(office, revision_id, role)))
    return " ".join(" ".join(page.extract_text() for page in read.pages).split())


def test_signed_every_price_doubled_one_zone_changed_names_that_zone_only(stocked: Office, agreed: UUID) -> None:
    dearer(stocked)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert (known.found.by, known.found.zones) == (0, ())
    assert known.refused.startswith("Today's plan is what is signed")
    larger_kitchen(stocked, agreed)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert [(one.letter, one.title) for one in known.found.zones] == [("B", "Kitchen")]
    [item] = known.found.items
    # 120 → 160 sq ft at the signed prices: more, and less than a third as much again as doubled prices would make it
    assert 0 < item.by < item.was_cents
    assert item.words[0] == "120 sq ft before, 160 sq ft now"
    assert item.todays == ()


@pytest.mark.printed
def test_offered_bytes_are_kept_and_tell_the_change(stocked: Office, agreed: UUID) -> None:
    larger_kitchen(stocked, agreed)
    save(stocked, agreed, made("change_draft", ChangeDraft(id=uuid4(), words="Room for the long table.", half_days=4, days_words="Two days of laying more.")))  # fmt: skip
    one = offered(stocked, agreed)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    text = pages(stocked, one.id)
    signed_cents = agreed_papers.signed_changes(stocked, agreed).signed_cents
    for said in ("Change order 1", "The client asked for it. Room for the long table.", "Kitchen", "120 sq ft before, 160 sq ft now", "New contract sum", "Working days added: 2", "Jun 2, 2027 in place of May 28, 2027", "Joss Whitlock", "stays as it was signed"):  # fmt: skip
        assert said in text, said
    assert "Terrace" not in text.replace("Terrace,", ""), "what did not change is not named"
    assert f"${(signed_cents + known.found.by) / 100:,.2f}".removesuffix(".00") in text
    read = PdfReader(io.BytesIO(revisions.hand_out(stocked, one.id, "offered")))
    assert read.trailer["/Root"]["/MarkInfo"]["/Marked"]
    titles = [row.title for row in read.outline if not isinstance(row, list)]
    assert "Change order 1" in titles
    assert read.metadata.title.startswith("Change order 1 to proposal 1")
    larger_kitchen(stocked, agreed, depth=20)
    assert pages(stocked, one.id) == text


def test_signatures_never_stand_without_what_they_agree_to(stocked: Office, agreed: UUID) -> None:
    larger_kitchen(stocked, agreed)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    view = sheet(stocked, agreed)
    alone = 0
    for length in range(0, 90, 6):
        long = replace(known.made, words="A longer table. " * length)
        one = change_orders.pdf_order(stocked, view, long)
        last = (
            PdfReader(io.BytesIO(html_to_pdf(**{name: getattr(one, name) for name in ASKED}))).pages[-1].extract_text()
        )
        said = last[last.rindex("Signatures") :]
        alone += last.strip().split("\n")[1:2] == ["Signatures"]
        assert f"${known.made.after_cents / 100:,.2f}".removesuffix(".00") in said, length
        assert "holds until" in said
    assert alone, "a length at which the signatures stand on a page of their own is among those tried"


def test_signed_it_is_part_of_the_contract_and_the_next_is_measured_on_it(stocked: Office, agreed: UUID) -> None:
    before = agreed_papers.signed_changes(stocked, agreed)
    larger_kitchen(stocked, agreed)
    one = offered(stocked, agreed)
    by = change_orders.in_hand(stocked, sheet(stocked, agreed)).found.by
    sign(stocked, agreed, one.id, SIGNERS[0])
    assert agreed_papers.signed_changes(stocked, agreed).cents == before.cents, "one signature is not all"
    sign(stocked, agreed, one.id, SIGNERS[1])
    after = agreed_papers.signed_changes(stocked, agreed)
    assert (after.cents, [change.cents for change in after.changes]) == (before.cents + by, [by])
    [row] = after.changes
    assert (row.kind, row.number, row.revision_id) == ("change order", 1, one.id)
    assert after.on(row.signed_on - timedelta(days=1)) in (0, before.cents)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert known.found.zones == ()
    assert known.made.number == 2
    stands = build.build_sheet(stocked, sheet(stocked, agreed)).stands
    assert (stands.signed.id, stands.apart) == (one.id, False)
    larger_kitchen(stocked, agreed, depth=12)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert (known.made.before_cents, known.found.by) == (after.cents, -by)
    assert sum(one.cents for one in known.made.payments) == known.made.after_cents
    signed = pages(stocked, one.id, "signed")
    assert "Linnea Whitlock" in signed


def test_signed_changes_are_billed_with_the_payments_they_moved(stocked: Office, agreed: UUID) -> None:
    larger_kitchen(stocked, agreed)
    reached = ReachedMilestone(
        id=uuid4(), milestone=f"{revisions.of_job(stocked, agreed)[0].id}.1", day=date(2027, 5, 5)
    )
    save(stocked, agreed, made("reached_milestone", reached))
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert [one.reached for one in known.made.payments[:3]] == [True, True, False]
    sign_all(stocked, agreed, offered(stocked, agreed).id)
    billed = contracts.contract_of(stocked, sheet(stocked, agreed))
    assert billed.cents + billed.changes_cents == agreed_papers.signed_changes(stocked, agreed).cents
    assert {one.paid_with for one in billed.changes} == {f"{one.event} {one.phase}".strip() for one in known.made.payments if not one.reached}  # fmt: skip
    larger_kitchen(stocked, agreed, depth=18)
    save(stocked, agreed, made("change_draft", ChangeDraft(id=uuid4(), pay="own")))
    sign_all(stocked, agreed, offered(stocked, agreed).id)
    billed = contracts.contract_of(stocked, sheet(stocked, agreed))
    assert billed.cents + billed.changes_cents == agreed_papers.signed_changes(stocked, agreed).cents
    assert [one.paid_with for one in billed.changes if one.title == "Change order 2"] == [""]


def test_declined_expired_superseded_are_states_with_dates_and_stay(stocked: Office, agreed: UUID) -> None:
    larger_kitchen(stocked, agreed)
    first = offered(stocked, agreed)
    second = offered(stocked, agreed)
    change_orders.decline(stocked, sheet(stocked, agreed), second.id, "Too dear for this year", order())
    with pytest.raises(Refused, match="not open any more"):
        change_orders.decline(stocked, sheet(stocked, agreed), second.id, "again", order())
    with pytest.raises(Refused, match="declined"):
        sign(stocked, agreed, second.id, SIGNERS[0])
    third = offered(stocked, agreed)
    today = sheet(stocked, agreed).today
    states = {row.revision.number: row for row in change_orders.states_of(stocked, sheet(stocked, agreed))}
    assert {number: (row.state, row.since, row.why) for number, row in states.items()} == {
        1: ("superseded", today, ""),
        2: ("declined", today, "Too dear for this year"),
        3: ("offered", today, ""),
    }
    assert third.holds_until == today + timedelta(days=14)
    late = sheet(stocked, agreed)
    stocked.clock = _later(stocked, days=15)
    states = change_orders.states_of(stocked, sheet(stocked, agreed))
    assert (states[0].state, states[0].since) == ("expired", today + timedelta(days=15))
    with pytest.raises(Refused, match="held until"):
        sign(stocked, agreed, third.id, SIGNERS[0])
    assert all(revisions.hand_out(stocked, one.id, "offered") for one in (first, second, third))
    with stocked.database.read() as connection:
        kinds = [row.kind for row in record.history(connection, str(agreed))]
    assert (kinds.count("issue"), kinds.count("decline")) == (4, 1)
    assert late.job == sheet(stocked, agreed).job


def _later(office: Office, days: int):
    clock = office.clock
    return lambda: clock() + timedelta(days=days)


def test_an_offer_measured_on_a_contract_that_moved_is_offered_again(stocked: Office, agreed: UUID) -> None:
    larger_kitchen(stocked, agreed)
    one = offered(stocked, agreed)
    sign_all(stocked, agreed, one.id)
    larger_kitchen(stocked, agreed, depth=18)
    two = offered(stocked, agreed)
    assert two.state == "offered"
    sign_all(stocked, agreed, two.id)
    summed = agreed_papers.signed_changes(stocked, agreed)
    assert [row.number for row in summed.changes] == [1, 2]
    assert summed.cents == summed.signed_cents + sum(row.cents for row in summed.changes)


def test_work_not_signed_for_is_an_open_point_until_signed_or_started_with_a_reason(
    stocked: Office, agreed: UUID
) -> None:
    def stops():
        return [one for one in sheet(stocked, agreed).readiness.stops if one.rule == RULE]

    assert stops() == []
    larger_kitchen(stocked, agreed)
    [stop] = stops()
    assert (
        stop.what == "B Kitchen: not what was signed (Kitchen). Do not start it yet."[: len(stop.what)]
        or "B Kitchen" in stop.what
    )
    going = change_orders.Going(by="Maren Oduya", reason="The excavator is here today only")
    change_orders.start_unsigned(stocked, sheet(stocked, agreed), stop.key, going, order())
    assert stops() == []
    [kept] = [one for one in sheet(stocked, agreed).readiness.settled if one.finding.rule == RULE]
    assert kept.settlement.reason == "The excavator is here today only"
    larger_kitchen(stocked, agreed, depth=18)
    assert len(stops()) == 1, "another change is another point"
    one = offered(stocked, agreed)
    sign_all(stocked, agreed, one.id)
    assert stops() == []


def test_rock_at_the_agreed_price_and_days_of_the_log_flow_in_once(stocked: Office, agreed: UUID) -> None:
    rock = FoundCondition(id=uuid4(), quantity=Decimal("2.5"), agreed=str(ROCK), zone=str(open_job(stocked, agreed).job.zones[0].id))  # fmt: skip
    delay = LoggedDelay(id=uuid4(), day=date(2027, 5, 10), cause="weather", whose="nobody", half_days=3)
    save(stocked, agreed, made("found_condition", rock), made("logged_delay", delay))
    edit(stocked, agreed, "unit_price", ROCK, cents=999_00)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert (known.found.by, known.days.half_days) == (362_53, 3)
    assert known.made.days.last_after == date(2027, 6, 2)  # Memorial Day is the 31st of May
    trace = explained(stocked, sheet(stocked, agreed), f"change:found:{rock.id}")
    assert (trace.result, trace.expression) == (362.53, "quantity × the unit price agreed at signing")
    sign_all(stocked, agreed, offered(stocked, agreed).id)
    known = change_orders.in_hand(stocked, sheet(stocked, agreed))
    assert (known.found.by, known.days.half_days) == (0, 0)
    assert known.made.days.last_after == date(2027, 6, 2)
    assert agreed_papers.signed_changes(stocked, agreed).changes[0].half_days == 3


def test_every_figure_opens_to_where_it_comes_from(stocked: Office, agreed: UUID) -> None:
    larger_kitchen(stocked, agreed)
    view = sheet(stocked, agreed)
    known = change_orders.in_hand(stocked, view)
    [zone] = known.found.zones
    [item] = zone.items
    figures = {"total": known.found.by, "contract": known.made.after_cents, "whole": known.found.whole_job, f"zone:{zone.zone}": zone.by, f"item:{zone.zone}:{item.key}": item.by}  # fmt: skip
    for figure, cents in figures.items():
        trace = explained(stocked, view, f"change:{figure}")
        assert round(trace.result * 100) == cents, figure
    lines = explained(stocked, view, f"change:item:{zone.zone}:{item.key}").steps[0].steps
    assert len(lines) > 2
    assert all(one.steps for one in lines)


def test_nothing_signed_has_no_change_order(stocked: Office, ready: UUID) -> None:
    assert change_orders.in_hand(stocked, sheet(stocked, ready)) is None
    with pytest.raises(Refused, match="Nothing is signed yet"):
        offered(stocked, ready)
