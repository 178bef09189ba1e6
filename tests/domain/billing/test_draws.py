"""Draws, changes, retainage, design fee: whatever happens in between, all of it adds up to the contract to the cent."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.billing import (
    Beside,
    ChangeToBill,
    Contract,
    Invoice,
    LineKind,
    draw_up,
    held_back,
    left_to_bill,
    milestones_of,
    next_number,
    standing,
    total_of,
)
from app.domain.costing.payments import Due
from app.domain.errors import BadValue, NotFound, Refused

DAY = date(2027, 5, 3)
EVENTS = ("At signing", "Materials delivered", "Base compacted", "Walls standing", "Finished and walked together")


def contract_of(cents: int, parts: list[int], fees: tuple[int, ...] = (), **more) -> Contract:
    due = [
        Due(event=EVENTS[at % len(EVENTS)], phase="", cents=part, paid=fees[at] if at < len(fees) else 0)
        for at, part in enumerate(parts)
    ]
    return Contract(key="p", number=1, signed_on=DAY, cents=cents, milestones=milestones_of("p", due, cents), **more)


def issue(contract: Contract, invoices: list[Invoice], *places: int, beside: Beside | None = None) -> Invoice:
    drawn = draw_up(contract, invoices, [f"p.{at}" for at in places], beside or Beside())
    number = len(invoices) + 1
    made = Invoice(
        id=f"i{number}",
        number=number,
        issued_on=DAY + timedelta(days=number),
        due_on=DAY + timedelta(days=number + 14),
        lines=drawn.lines,
        tax_cents=drawn.tax_cents,
    )
    invoices.append(made)
    return made


def void(invoices: list[Invoice], at: int) -> None:
    invoices[at] = replace(invoices[at], void_on=invoices[at].issued_on, void_reason="wrong")


def lines_of(one: Invoice) -> dict[str, int]:
    return {str(line.kind): line.cents for line in one.lines}


def test_worked_example_by_hand_adds_up_to_the_cent() -> None:
    """$48,763.37 in 10/30/30/20/10 (a usual split, from memory) with 10% held back until the end, $1,500 of design
    fee paid before, a change of +$1,240.55 and one of −$310.20. Worked out by hand.

    Retention of usually 10% until completion: diamondcertified.org, an article for consumers.
    """
    first = contract_of(
        48_763_37, [4_876_34, 14_629_01, 14_629_01, 9_752_67, 4_876_34], (1_500_00,), retainage=Decimal("0.10")
    )
    invoices: list[Invoice] = []
    assert lines_of(issue(first, invoices, 0)) == {"draw": 4_876_34, "design fee": -1_500_00, "retained": -487_63}
    assert issue(first, invoices, 1).total_cents == 13_166_11
    extra = ChangeToBill(key="c1", title="Longer wall", day=DAY, cents=1_240_55)
    second = replace(first, changes=(extra,))
    third = issue(second, invoices, 2)
    assert lines_of(third) == {"draw": 14_629_01, "change": 1_240_55, "retained": -1_586_96}
    fewer = replace(second, changes=(extra, ChangeToBill(key="c2", title="No light", day=DAY, cents=-310_20)))
    assert issue(fewer, invoices, 3).total_cents == 8_498_22
    assert held_back(invoices) == 487_63 + 1_462_90 + 1_586_96 + 944_25
    last = issue(fewer, invoices, 4)
    assert lines_of(last) == {"draw": 4_876_34, "released": 4_481_74}
    assert [one.total_cents for one in invoices] == [2_888_71, 13_166_11, 14_282_60, 8_498_22, 9_358_08]
    assert sum(one.total_cents for one in invoices) == 48_763_37 + 1_240_55 - 310_20 - 1_500_00 == 48_193_72
    assert (left_to_bill(fewer, invoices), held_back(invoices)) == (0, 0)


def test_last_payment_takes_what_rounded_shares_leave() -> None:
    """Three thirds of $100.00: a table whose shares were rounded down leaves its cent to the last."""
    found = contract_of(100_00, [33_33, 33_33, 33_33])
    assert [one.cents for one in found.milestones] == [33_33, 33_33, 33_34]


def test_change_that_is_paid_with_a_later_event_waits_for_it() -> None:
    change = ChangeToBill(key="c", title="The long bed", day=DAY, cents=900_00, paid_with=EVENTS[2])
    found = contract_of(3_000_00, [1_000_00, 1_000_00, 1_000_00], changes=(change,))
    invoices: list[Invoice] = []
    assert issue(found, invoices, 0).sum_of(LineKind.CHANGE) == 0
    assert issue(found, invoices, 1).sum_of(LineKind.CHANGE) == 0
    assert issue(found, invoices, 2).sum_of(LineKind.CHANGE) == 900_00


def test_change_signed_after_the_last_draw_is_billed_alone_and_nothing_is_held_back() -> None:
    found = contract_of(1_000_00, [1_000_00], retainage=Decimal("0.1"))
    invoices: list[Invoice] = []
    assert issue(found, invoices, 0).total_cents == 1_000_00
    with pytest.raises(Refused, match="nothing to bill"):
        draw_up(found, invoices, [])
    late = replace(found, changes=(ChangeToBill(key="c", title="A step more", day=DAY, cents=120_05),))
    assert lines_of(issue(late, invoices)) == {"change": 120_05}


def test_milestone_on_an_invoice_is_not_billed_twice_but_again_once_that_is_void() -> None:
    found = contract_of(1_000_00, [400_00, 600_00])
    invoices: list[Invoice] = []
    issue(found, invoices, 0)
    with pytest.raises(Refused, match="on invoice 1 already"):
        draw_up(found, invoices, ["p.0"])
    void(invoices, 0)
    assert issue(found, invoices, 0).total_cents == 400_00
    with pytest.raises(NotFound):
        draw_up(found, invoices, ["q.1"])


def test_credit_comes_off_and_needs_words() -> None:
    found = contract_of(1_000_00, [1_000_00])
    with pytest.raises(BadValue, match="Say what the credit is for"):
        draw_up(found, [], ["p.0"], Beside(credit_cents=5_00))
    with pytest.raises(BadValue, match="without a minus"):
        draw_up(found, [], ["p.0"], Beside(credit_cents=-5_00, credit_words="x"))
    drawn = draw_up(found, [], ["p.0"], Beside(credit_cents=25_00, credit_words="Gate delivered late"))
    assert drawn.total_cents == 975_00
    assert drawn.is_last


def test_sales_tax_of_the_draws_adds_up_to_that_of_the_contract() -> None:
    found = contract_of(1_000_01, [333_33, 333_33, 333_35], tax_cents=56_61)
    invoices: list[Invoice] = []
    for at in range(3):
        issue(found, invoices, at)
    assert [one.tax_cents for one in invoices] == [18_87, 18_87, 18_87]
    odd = contract_of(100_00, [33_33, 33_33, 33_34], tax_cents=7_00)
    invoices = []
    for at in (0, 1, 2):
        issue(odd, invoices, at)
    assert [one.tax_cents for one in invoices] == [2_33, 2_33, 2_34]


def test_numbers_go_on_from_the_last_one_given() -> None:
    assert [next_number(0, 1), next_number(0, 0), next_number(41, 1000)] == [1, 1, 42]


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["draw", "change", "void", "credit", "alone"]),
        st.integers(-50_000, 90_000),
        st.integers(0, 9),
    ),
    max_size=14,
)


@given(
    cents=st.integers(1, 90_000_00),
    weights=st.lists(st.integers(0, 40), min_size=1, max_size=6),
    retainage=st.integers(0, 1500),
    tax=st.integers(0, 100_000),
    fee=st.integers(0, 3_000_00),
    steps=STEPS,
)
def test_whatever_is_drawn_changed_credited_and_voided_the_end_is_the_contract_to_the_cent(
    cents: int, weights: list[int], retainage: int, tax: int, fee: int, steps: list[tuple[str, int, int]]
) -> None:
    parts = [cents * weight // (sum(weights) or 1) for weight in weights]
    fees = (min(fee, parts[0]),)
    contract = contract_of(cents, parts, fees, retainage=Decimal(retainage) / 10_000, tax_cents=min(tax, cents))
    invoices: list[Invoice] = []
    for what, amount, at in steps:
        if what == "change":
            key = f"c{len(contract.changes)}"
            new = ChangeToBill(key=key, title=key, day=DAY, cents=amount, tax_cents=amount // 20)
            contract = replace(contract, changes=(*contract.changes, new))
        elif what == "void" and invoices:
            void(invoices, at % len(invoices))
        else:
            open_places = open_of(contract, invoices)
            places = open_places[:1] if what == "draw" else open_places[-1:] if what == "credit" else []
            beside = Beside(credit_cents=abs(amount), credit_words="x") if what == "credit" else None
            try:
                issue(contract, invoices, *places, beside=beside)
            except Refused:
                continue
    while places := open_of(contract, invoices):
        issue(contract, invoices, places[0])
    if unbilled(contract, invoices):
        issue(contract, invoices)
    credited = -total_of(invoices, LineKind.CREDIT)
    assert left_to_bill(contract, invoices) == 0
    assert held_back(invoices) == 0
    assert total_of(invoices, LineKind.DRAW) == contract.cents
    there = sum(one.total_cents for one in standing(invoices))
    assert there == contract.total_cents - contract.fee_cents - credited
    assert sum(one.tax_cents for one in standing(invoices)) == contract.tax_cents + billed_tax(contract, invoices)


def open_of(contract: Contract, invoices: list[Invoice]) -> list[int]:
    """Milestones on no invoice that stands."""
    billed = {key for one in standing(invoices) for key in one.of(LineKind.DRAW)}
    return [at for at, one in enumerate(contract.milestones) if one.key not in billed]


def unbilled(contract: Contract, invoices: list[Invoice]) -> list[ChangeToBill]:
    billed = {key for one in standing(invoices) for key in one.of(LineKind.CHANGE)}
    return [one for one in contract.changes if one.key not in billed]


def billed_tax(contract: Contract, invoices: list[Invoice]) -> int:
    billed = {key for one in standing(invoices) for key in one.of(LineKind.CHANGE)}
    return sum(one.tax_cents for one in contract.changes if one.key in billed)
