"""An accepted quote stands in place of the book's amounts to the cent; what it leaves out or unclear is an open point."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest

from app.domain.basis import Basis, CostClass, Subcontractor
from app.domain.checks.subs import quotes_and_papers, without_quote
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.explain import explain
from app.domain.costing.quoted import extra_key, scope_amounts, scope_key
from app.domain.crew import crew_sheets
from app.domain.findings import Severity, Stop
from app.domain.job import Job, Packet, PlaceKind, Quote, Stands, Work
from app.domain.orders import order
from app.domain.takeoff.requirements import Requirement
from tests.domain.takeoff.yards import JOB
from tests.stocked import stocked_basis

PACKET, QUOTE, WORK = UUID(int=81_001), UUID(int=81_002), UUID(int=81_003)
SUB = Subcontractor(key="pins", title="Alder Pins", license="PA-0", insured_until=date(2027, 12, 31))


@pytest.fixture
def basis() -> Basis:
    return replace(stocked_basis(), subcontractors={"pins": SUB})


@pytest.fixture
def surveyed() -> Job:
    """A job with a surveyor in it: one line of a trade, one of our own hours."""
    work = Work(id=WORK, place=PlaceKind.JOB, place_id=None, assembly="stake-lot-lines")
    return replace(JOB, works=(*JOB.works, work))


def quoted(job: Job, cents: int, packet: Packet | None = None, **more: object) -> Job:
    one = Quote(
        id=QUOTE,
        packet_id=PACKET,
        subcontractor="pins",
        cents=cents,
        accepted_on=date(2027, 3, 1),
        valid_until=date(2027, 6, 1),
        **more,
    )
    return replace(
        job, packets=(packet or Packet(id=PACKET, title="Lot lines", materials=("surveyor",)),), quotes=(one,)
    )


def of_sub(worked: Estimate) -> list[int]:
    return [line.cents for line in worked.lines if line.key == "surveyor"]


def rules(worked: Estimate) -> list[str]:
    return [one.rule for one in worked.findings if one.rule.startswith("quote")]


def first(worked: Estimate, key: str) -> Requirement:
    return next(one for one in worked.requirements if one.key == key)


def test_accepted_quote_replaces_the_books_amount_and_totals_follow(surveyed: Job, basis: Basis) -> None:
    before, after = estimate(surveyed, basis), estimate(quoted(surveyed, 77_777), basis)
    assert of_sub(after) == [77_777] != of_sub(before)
    moved = after.build_up.step("direct").cents - before.build_up.step("direct").cents
    assert moved == 77_777 - sum(of_sub(before))
    assert sum(after.price_by_zone.values()) == after.price_cents


def test_quote_that_is_not_accepted_changes_nothing(surveyed: Job, basis: Basis) -> None:
    job = quoted(surveyed, 77_777)
    waiting = replace(job, quotes=(replace(job.quotes[0], accepted_on=None),))
    assert estimate(waiting, basis).price_cents == estimate(surveyed, basis).price_cents


def test_whole_work_given_away_is_neither_bought_nor_worked_by_us(surveyed: Job, basis: Basis) -> None:
    given = next(one for one in surveyed.works if one.assembly == "unit-pavers")
    job = quoted(surveyed, 1_234_567, Packet(id=PACKET, title="Paving", work_ids=(given.id,)))
    before, after = estimate(surveyed, basis), estimate(job, basis)
    own = [line for line in after.lines if line.work_id == str(given.id)]
    assert sum(line.cents for line in own) == 1_234_567
    assert {line.cost_class for line in own} == {CostClass.SUBCONTRACT}
    assert sum(line.hours for line in own) == 0
    assert sum(after.hours_by_phase.values()) < sum(before.hours_by_phase.values())
    others = {one.key for one in after.requirements if one.work_id != given.id}
    gone = {one.key for one in after.requirements if one.work_id == given.id and one.kind == "material"} - others
    assert gone
    assert gone.isdisjoint(line.material for listed in order(job, basis) for line in listed.lines)


def test_crew_does_not_read_the_hours_and_material_of_what_is_given_away(surveyed: Job, basis: Basis) -> None:
    given = next(one for one in surveyed.works if one.assembly == "unit-pavers")
    job = quoted(surveyed, 1_234_567, Packet(id=PACKET, title="Paving", work_ids=(given.id,)))
    before, after = (sum(one.hours for one in crew_sheets(it, basis)) for it in (surveyed, job))
    assert after < before
    told = {work.title: work.by_subcontractor for one in crew_sheets(job, basis) for work in one.works}
    assert [title for title, theirs in told.items() if theirs] == [basis.assemblies["unit-pavers"].title]
    assert len(told) > 1


def test_line_that_is_out_stays_at_the_books_price_unless_an_amount_is_added(surveyed: Job, basis: Basis) -> None:
    before = estimate(surveyed, basis)
    line = scope_key(first(before, "surveyor"))
    out = estimate(quoted(surveyed, 50_000, scope={line: Stands.OUT}), basis)
    assert of_sub(out) == of_sub(before)
    assert [one.cents for one in out.lines if one.kind == "quote"] == [50_000]  # no cent of the quote is lost
    added = estimate(quoted(surveyed, 50_000, scope={line: Stands.OUT}, added={line: 9_900}), basis)
    assert of_sub(added) == [59_900]


def test_further_line_that_is_out_stops_until_it_is_priced_or_added(surveyed: Job, basis: Basis) -> None:
    packet = Packet(id=PACKET, title="Lot lines", materials=("surveyor",), extras=("A drawing of the pins",))
    key = extra_key("A drawing of the pins")
    line = scope_key(first(estimate(surveyed, basis), "surveyor"))
    scope = {line: Stands.IN, key: Stands.OUT}
    worked = estimate(quoted(surveyed, 50_000, packet, scope=scope), basis)
    (point,) = [one for one in worked.findings if one.rule == "quote-out"]
    assert (point.severity, point.stop) == (Severity.STOP, Stop.MONEY)
    assert point.what in worked.reasons
    assert rules(estimate(quoted(surveyed, 50_000, packet, scope=scope, elsewhere={key: "in our layout"}), basis)) == []
    added = estimate(quoted(surveyed, 50_000, packet, scope=scope, added={key: 2_500}), basis)
    assert rules(added) == []
    assert of_sub(added) == [52_500]


def test_what_a_quote_does_not_say_is_an_open_point(surveyed: Job, basis: Basis) -> None:
    assert rules(estimate(quoted(surveyed, 50_000), basis)) == ["quote-unclear"]
    line = scope_key(first(estimate(surveyed, basis), "surveyor"))
    assert rules(estimate(quoted(surveyed, 50_000, scope={line: Stands.IN}), basis)) == []


def test_scope_that_grew_since_the_quote_is_said(surveyed: Job, basis: Basis) -> None:
    worked = estimate(surveyed, basis)
    packet = Packet(id=PACKET, title="Lot lines", materials=("surveyor",))
    amounts = scope_amounts(packet, worked.requirements)
    scope = dict.fromkeys(amounts, Stands.IN)
    assert rules(estimate(quoted(surveyed, 50_000, amounts=amounts, scope=scope), basis)) == []
    works = tuple(replace(one, parameters={"lines": "3"}) if one.id == WORK else one for one in surveyed.works)
    grown = quoted(replace(surveyed, works=works), 50_000, amounts=amounts, scope=scope)
    assert rules(estimate(grown, basis)) == ["quote-scope-moved"]


def test_trade_priced_from_the_book_is_an_open_point_until_a_quote_is_accepted(surveyed: Job, basis: Basis) -> None:
    (point,) = without_quote(surveyed, basis, estimate(surveyed, basis))
    assert "surveyor" in point.measured
    job = quoted(surveyed, 50_000)
    assert not [one for one in without_quote(job, basis, estimate(job, basis)) if "surveyor" in one.measured]


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (date(2027, 6, 1), []),
        (date(2027, 6, 2), ["quote-expired"]),
        (date(2028, 1, 1), ["quote-expired", "sub-papers"]),
    ],
)
def test_quote_and_insurance_hold_through_their_last_day(
    surveyed: Job, basis: Basis, today: date, said: list[str]
) -> None:
    assert [one.rule for one in quotes_and_papers(quoted(surveyed, 50_000), basis, today)] == said


def test_line_that_a_quote_pays_says_whose_and_how_it_is_shared(surveyed: Job, basis: Basis) -> None:
    job = quoted(surveyed, 50_000)
    worked = estimate(job, basis)
    line = next(one for one in worked.lines if one.key == "surveyor")
    told = explain(job, basis, line.figure, worked)
    assert told.result == 500
    assert "Alder Pins" in told.steps[0].source


def test_quote_is_no_part_of_what_may_move(surveyed: Job, basis: Basis) -> None:
    worked = estimate(quoted(surveyed, 50_000), basis)
    likely = sum(one.likely for one in worked.inputs.inputs)
    assert likely == pytest.approx(worked.build_up.step("direct").cents, rel=0.001)
