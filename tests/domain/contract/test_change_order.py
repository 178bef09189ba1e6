"""The change order as a paper: sums, payments, days, what is told to the client; and the contract after it."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.contract.change_order import (
    Contract,
    change_order,
    refuse_unready,
    standing_after,
)
from app.domain.contract.contract_sum import ContractSum, SignedChange, in_order_signed
from app.domain.contract.days import DaysAdded, days_added, later_by, not_yet_asked
from app.domain.contract.payment_table import BACK, payments_after
from app.domain.contract.standing import standing_of
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import estimate
from app.domain.costing.payments import Due
from app.domain.errors import Refused
from app.domain.job import ChangeDraft, FoundCondition, LoggedDelay, PriceShown
from app.domain.joblog.delays import Cause, days_to_ask_for
from app.domain.plan.shapes import rectangle
from app.domain.schedule.axis import WorkingDays
from tests.domain.contract.small_yard import (
    BASIS,
    JOB,
    ROCK,
    A,
    B,
    against,
    doubled,
    key,
    paved,
    signed,
    with_slate,
    with_way,
    without_zone,
)
from tests.domain.costing.random_jobs import bases, jobs

ON = date(2027, 6, 14)
DRAFT = ChangeDraft(id=key(601), words="A wider path.")
NO_DAYS = DaysAdded(own_half_days=0, words="")


def paper(job=None, draft=DRAFT, days=NO_DAYS, standing=None, earlier=()):
    standing = standing or signed()
    summed = ContractSum(signed_on=date(2027, 4, 1), signed_cents=928_00, changes=earlier)
    found = against(standing, job or with_way(JOB, B, 8, 10))
    contract = Contract(standing=standing, summed=summed, proposal=3)
    return change_order(contract, found, draft, days, number=1, made_on=ON, cautions={})


def test_the_paper_tells_was_will_be_and_difference_by_zone() -> None:
    made = paper()
    [row] = made.zones
    # Zones are printed in whole money: B 309 of 928
    assert (row.was_cents, row.will_cents, row.by_cents) == (309_00, 494_60, 185_60)
    assert (made.before_cents, made.by_cents, made.after_cents) == (928_00, 185_60, 1_113_60)
    assert (made.proposal, made.reason) == (3, "The client asked for it")
    assert made.holds_until == ON + timedelta(days=14)
    assert [item.was_cents for item in row.items] == [None], "the proposal told no price by line"


@pytest.mark.parametrize(
    ("how", "zone", "line"), [(PriceShown.WHOLE, None, None), (PriceShown.PHASE, None, None), (PriceShown.LINE, 309_00, 309_00)]
)  # fmt: skip
def test_prices_the_proposal_did_not_tell_are_not_told_here(how, zone, line) -> None:
    job = replace(JOB, head=replace(JOB.head, price_shown=how))
    [row] = paper(with_way(job, B, 8, 10), standing=signed(job)).zones
    assert (row.was_cents, row.items[0].was_cents) == (zone, line)


# Signed 928.00: 10% at signing 93.00 (whole money), then 40/35/25 of 835.00. Signing is reached; 185.60 goes to the rest
# by 334 : 292 : 209 in whole dollars, the odd 60 cents to the last
def test_the_difference_goes_to_payments_not_reached_in_whole_money() -> None:
    rows = paper(draft=replace(DRAFT, reached=("1",))).payments
    assert [(one.was_cents, one.cents, one.reached) for one in rows] == [
        (93_00, 93_00, True),
        (334_00, 408_00, False),
        (292_00, 357_00, False),
        (209_00, 255_60, False),
    ]
    assert sum(one.cents for one in rows) == 1_113_60


def test_the_difference_may_be_a_payment_of_its_own() -> None:
    rows = paper(draft=replace(DRAFT, pay="own", pay_event="When the path is walked")).payments
    assert [one.cents for one in rows] == [93_00, 334_00, 292_00, 209_00, 185_60]
    assert (rows[-1].event, rows[-1].was_cents) == ("When the path is walked", None)
    assert paper(draft=replace(DRAFT, pay="own")).payments[-1].event == "Change order 1, with the next payment"


@given(
    st.lists(st.tuples(st.integers(0, 500_000), st.booleans()), min_size=1, max_size=6),
    st.integers(-1_500_000, 1_500_000),
    st.sampled_from(["", "own"]),
)
def test_payments_add_up_stay_where_reached_and_never_fall_below_nothing(table, by, own) -> None:
    due = tuple(Due(event=str(at), phase="", cents=cents) for at, (cents, _) in enumerate(table))
    reached = {str(at + 1) for at, (_, done) in enumerate(table) if done}
    after = payments_after(due, by, reached, own)
    assert sum(one.cents for one in after) == sum(one.cents for one in due) + by
    for at, one in enumerate(due):
        assert after[at].cents >= 0
        assert after[at].cents == one.cents or (str(at + 1) not in reached and not own)
    assert all(one.event in (BACK, "own", "With the next payment") for one in after[len(due) :])


def test_days_typed_and_days_of_the_log_move_the_last_day() -> None:
    rain, ours = Cause(key="rain", title="Rain", whose="nobody", asked=True), Cause(key="crew", title="Crew short")
    log = [
        LoggedDelay(id=key(701), day=ON, cause="rain", whose="nobody", half_days=3),
        LoggedDelay(id=key(702), day=ON, cause="crew", whose="firm", half_days=4),
    ]
    draft = replace(DRAFT, half_days=2, days_words="The path takes a day more.")
    working = WorkingDays(closed=frozenset({date(2027, 7, 5)}))
    made = days_added(draft, days_to_ask_for(log, (rain, ours)), date(2027, 7, 2), 0, working)
    assert (made.half_days, made.delay_ids) == (5, (str(key(701)),))
    assert (made.last_before, made.last_after) == (
        date(2027, 7, 2),
        date(2027, 7, 8),
    )  # Tue, Wed, Thu after the holiday
    alone = days_added(replace(draft, without_delays=True), days_to_ask_for(log, (rain,)), None, 0, working)
    assert (alone.half_days, alone.last_after) == (2, None)
    assert not_yet_asked(log, made.delay_ids) == (log[1],)
    assert later_by(date(2027, 7, 2), 0, working) == date(2027, 7, 2)


def test_nothing_to_sign_no_price_and_too_much_credit_are_refused() -> None:
    with pytest.raises(Refused, match="nothing differs"):
        refuse_unready(against(signed(), JOB), NO_DAYS)
    refuse_unready(against(signed(), JOB), DaysAdded(own_half_days=2, words="rain"))
    unpriced = replace(JOB, found_conditions=(FoundCondition(id=key(501), title="Old slab", quantity=Decimal(1)),))
    with pytest.raises(Refused, match="Without a price so far: Old slab"):
        refuse_unready(against(signed(), unpriced), NO_DAYS)
    less = replace(signed(), sum_cents=100_00)
    with pytest.raises(Refused, match="more off than the contract sum"):
        refuse_unready(against(less, without_zone(JOB, A)), NO_DAYS)


def test_a_second_change_order_is_measured_against_the_contract_as_it_stands() -> None:
    first = signed()
    one = against(first, with_way(JOB, B, 8, 10))
    second = standing_after(first, one, DRAFT, NO_DAYS, 1)
    assert against(second, with_way(JOB, B, 8, 10)).zones == ()
    two = against(second, with_slate(with_way(JOB, B, 8, 10)))
    assert [zone.letter for zone in two.zones] == ["C"]
    third = standing_after(second, two, DRAFT, NO_DAYS, 2)
    back = against(third, with_way(JOB, B, 8, 10))
    assert [(item.happens, item.by) for item in back.items] == [("removed", -309_33)]
    assert third.works[str(paved(A).id)] == 618_67


def test_what_was_found_and_signed_is_not_asked_again() -> None:
    rock = FoundCondition(id=key(501), quantity=Decimal(2), agreed=str(ROCK), zone=str(B))
    job = replace(JOB, found_conditions=(rock,))
    standing = standing_after(signed(), against(signed(), job), DRAFT, NO_DAYS, 1)
    assert standing.sum_cents == 928_00 + 290_02
    assert against(standing, job).zones == ()
    more = replace(job, found_conditions=(replace(rock, quantity=Decimal(3)),))
    assert against(standing, more).by == 145_01
    assert against(standing, JOB).by == -290_02


SIZES = st.integers(4, 400).map(lambda quarters: quarters / 4)
EDITS = st.lists(st.tuples(st.sampled_from(["shape", "out", "in", "found"]), st.integers(0, 3), SIZES), max_size=4)


def edited(job, edit):
    what, at, size = edit
    zone = job.zones[at % len(job.zones)]
    if what == "shape":
        shape = rectangle(size, 7.0, at=(at % len(job.zones) * 1000.0, 0.0))
        return replace(
            job, alternatives=tuple(replace(w, outline=shape) if w.zone_id == zone.id else w for w in job.alternatives)
        )
    if what == "found":
        found = FoundCondition(id=key(800 + at), quantity=Decimal(str(size)), cents=33_33, zone=str(zone.id))
        return replace(job, found_conditions=(*(o for o in job.found_conditions if o.id != found.id), found))
    return replace(job, zones=tuple(replace(z, left_out=what == "out") if z is zone else z for z in job.zones))


@settings(max_examples=60)
@given(jobs(), bases(), EDITS, st.booleans(), st.sampled_from(["rest", "own"]))
def test_contract_sum_is_the_signed_sum_and_all_signed_differences(job, basis, edits, whole, pay) -> None:
    standing = standing_of(job, basis, client_prices(job, estimate(job, basis)).contract)
    signed_cents, by = standing.sum_cents, 0
    draft = replace(DRAFT, pay=pay, reached=("1",), with_whole=whole)
    for number, edit in enumerate(edits):
        job = edited(job, edit)
        found = against(standing, job, basis, with_whole=whole)
        before = standing
        standing = standing_after(standing, found, draft, NO_DAYS, number)
        by += found.by
        assert standing.sum_cents == signed_cents + by == sum(standing.zones.values())
        assert sum(one.cents for one in standing.payments) == standing.sum_cents
        touched = {item.key for item in found.items}
        assert {k: c for k, c in before.works.items() if k not in touched}.items() <= standing.works.items()
        again = against(standing, job, doubled(basis), with_whole=whole)
        assert (again.by, again.zones) == (0, ())


def test_contract_sum_by_date() -> None:
    def change(number: int, day: date, cents: int, kind: str = "change order") -> SignedChange:
        return SignedChange(revision_id=str(number), kind=kind, number=number, title="", signed_on=day, cents=cents)

    rows = [change(2, date(2027, 6, 20), -50_00), change(1, date(2027, 5, 2), 185_60)]
    summed = ContractSum(signed_on=date(2027, 4, 1), signed_cents=928_00, changes=in_order_signed(rows))
    assert [summed.on(date(2027, *day)) for day in ((3, 1), (4, 1), (5, 2), (6, 19), (6, 20))] == [
        0, 928_00, 1_113_60, 1_113_60, 1_063_60,
    ]  # fmt: skip
    assert summed.cents == 1_063_60
    assert [one.number for one in summed.since(date(2027, 5, 2))] == [2]
    assert [one.number for one in summed.since(None)] == [1, 2]
    assert BASIS.firm.deposit_share == Decimal("0.10")
