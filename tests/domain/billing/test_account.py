"""What is paid on which invoice: part payments, too much, taken back; the balance is always invoiced less paid."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from app.domain.billing import (
    Contract,
    Invoice,
    InvoiceLine,
    InvoiceState,
    LineKind,
    account,
    age_of,
    by_payment,
    late_charge,
    statement,
)
from app.domain.job import ReceivedPayment

DAY = date(2027, 6, 1)


def invoice(number: int, cents: int, *, issued: int = 0, due: int = 14, **more) -> Invoice:
    line = InvoiceLine(kind=LineKind.DRAW, words="Walked", cents=cents, of=f"p.{number}")
    days = {"issued_on": DAY + timedelta(days=issued), "due_on": DAY + timedelta(days=issued + due)}
    return Invoice(id=f"i{number}", number=number, lines=(line,), **days, **more)


def paid(at: int, cents: int, day: int = 0, **more) -> ReceivedPayment:
    return ReceivedPayment(id=UUID(int=at), day=DAY + timedelta(days=day), cents=cents, **more)


def test_part_payment_leaves_the_rest_open_and_overdue_by_days() -> None:
    found = account([invoice(1, 1_000_00)], [paid(1, 400_00, 3)], DAY + timedelta(days=24))
    row = found.rows[0]
    assert (row.state, row.open_cents, row.overdue_days) == (InvoiceState.PART_PAID, 600_00, 10)
    assert (found.balance_cents, found.overdue_cents, found.credit_cents) == (600_00, 600_00, 0)
    assert account([invoice(1, 1_000_00)], [paid(1, 400_00, 3)], DAY + timedelta(days=14)).overdue_days == 0


def test_what_is_paid_too_much_is_a_credit_and_goes_on_the_next_invoice() -> None:
    payments = [paid(1, 1_200_00)]
    one = account([invoice(1, 1_000_00)], payments, DAY)
    assert (one.credit_cents, one.balance_cents, one.rows[0].state) == (200_00, -200_00, InvoiceState.PAID)
    two = account([invoice(1, 1_000_00), invoice(2, 500_00, issued=5)], payments, DAY + timedelta(days=5))
    assert (two.rows[1].open_cents, two.rows[1].state, two.credit_cents) == (300_00, InvoiceState.PART_PAID, 0)
    assert [(part.invoice, part.cents) for part in by_payment(two.rows)[str(UUID(int=1))]] == [
        ("i1", 1_000_00),
        ("i2", 200_00),
    ]


def test_payment_goes_on_the_invoice_it_names_the_rest_on_the_oldest() -> None:
    both = [invoice(1, 300_00), invoice(2, 500_00, issued=5)]
    found = account(both, [paid(1, 600_00, 6, invoice="i2")], DAY + timedelta(days=6))
    assert [row.open_cents for row in found.rows] == [200_00, 0]


def test_money_paid_back_to_the_client_comes_off_the_credit() -> None:
    payments = [paid(1, 1_200_00), paid(2, -200_00, 2)]
    found = account([invoice(1, 1_000_00)], payments, DAY + timedelta(days=2))
    assert (found.credit_cents, found.balance_cents, found.received_cents) == (0, 0, 1_000_00)
    later = account([invoice(1, 1_000_00), invoice(2, 70_00, issued=3)], payments, DAY + timedelta(days=3))
    assert later.rows[1].open_cents == 70_00


def test_void_invoice_and_payment_taken_back_count_no_more_but_did_before() -> None:
    gone = invoice(1, 1_000_00, void_on=DAY + timedelta(days=4), void_reason="Wrong milestone")
    back = paid(1, 250_00, 1, taken_back="Bounced", taken_back_on=DAY + timedelta(days=3))
    before, after = (account([gone], [back], DAY + timedelta(days=day)) for day in (2, 4))
    assert (before.balance_cents, after.balance_cents) == (750_00, 0)
    rows = statement([gone], [back], DAY + timedelta(days=9))
    assert [row.cents for row in rows] == [1_000_00, -250_00, 250_00, -1_000_00]
    assert [row.balance_cents for row in rows] == [1_000_00, 750_00, 1_000_00, 0]
    assert "Bounced" in rows[2].words
    assert "Wrong milestone" in rows[3].words


def test_statement_carries_forward_what_was_before() -> None:
    rows = statement(
        [invoice(1, 1_000_00), invoice(2, 500_00, issued=20)],
        [paid(1, 600_00, 2, how="check", number="1041")],
        DAY + timedelta(days=30),
        since=DAY + timedelta(days=10),
    )
    assert [(row.words, row.cents, row.balance_cents) for row in rows] == [
        ("Balance brought forward", 0, 400_00),
        ("Invoice 2", 500_00, 900_00),
    ]


def test_invoice_below_nothing_is_money_for_the_client() -> None:
    found = account([invoice(1, 500_00), invoice(2, -120_00, issued=1)], [], DAY + timedelta(days=1))
    assert (found.rows[0].open_cents, found.rows[1].state, found.balance_cents) == (380_00, InvoiceState.CREDIT, 380_00)


def contract(**more) -> Contract:
    return Contract(key="p", number=1, signed_on=DAY, cents=1_000_00, milestones=(), **more)


def test_late_charge_only_where_the_contract_has_one_and_by_the_day() -> None:
    """$1,000 open 30 days past the day, then $400 for 15 days, at 1.5% a month: 1.5% × 12 ÷ 365 a day. By hand:
    (1000 × 30 + 400 × 15) × 0.18 ÷ 365 = 17.753…
    """
    one = [invoice(1, 1_000_00)]
    day = DAY + timedelta(days=14 + 30 + 45)
    payments = [paid(1, 600_00, 14 + 30 + 30)]
    row = account(one, payments, day).rows[0]
    assert late_charge(contract(), row, one) is None
    with_rule = contract(late_charge=Decimal("0.015"), late_after_days=30)
    line = late_charge(with_rule, row, one)
    assert line is not None
    assert line.cents == 17_75
    charged = replace(invoice(2, 0, issued=89), lines=(line,))
    assert late_charge(with_rule, row, [*one, charged]) is None
    early = account(one, [], DAY + timedelta(days=44)).rows[0]
    assert late_charge(with_rule, early, one) is None


def test_ages_go_by_thirty_days() -> None:
    ages = [age_of(days) for days in (0, 1, 30, 31, 60, 61, 90, 91)]
    assert ages == [
        "Not due yet", "1 to 30 days", "1 to 30 days", "31 to 60 days", "31 to 60 days", "61 to 90 days",
        "61 to 90 days", "Over 90 days",
    ]  # fmt: skip


@given(
    totals=st.lists(st.integers(-2_000_00, 9_000_00), max_size=6),
    amounts=st.lists(st.tuples(st.integers(-3_000_00, 12_000_00), st.integers(0, 60), st.integers(0, 9)), max_size=8),
    voids=st.sets(st.integers(0, 5)),
    backs=st.sets(st.integers(0, 7)),
    on=st.integers(0, 90),
)
def test_never_a_cent_is_lost_between_invoices_and_payments(
    totals: list[int], amounts: list[tuple[int, int, int]], voids: set[int], backs: set[int], on: int
) -> None:
    gone = {at: {"void_on": DAY + timedelta(days=30 + at), "void_reason": "x"} for at in voids}
    invoices = [invoice(at, cents, issued=at * 7, **gone.get(at, {})) for at, cents in enumerate(totals)]
    payments = [
        paid(
            at,
            cents,
            day,
            invoice=f"i{named}",
            **({"taken_back": "x", "taken_back_on": DAY + timedelta(days=day + 2)} if at in backs else {}),
        )
        for at, (cents, day, named) in enumerate(amounts)
    ]
    day = DAY + timedelta(days=on)
    found = account(invoices, payments, day)
    assert found.balance_cents == found.invoiced_cents - found.received_cents
    assert found.open_cents - found.credit_cents == found.balance_cents
    assert all(0 <= row.open_cents <= max(0, row.invoice.total_cents) for row in found.rows)
    by_id = {str(one.id): one.cents for one in payments}
    for payment, parts in by_payment(found.rows).items():
        assert sum(part.cents for part in parts) <= by_id.get(payment, 10**9)
    rows = statement(invoices, payments, day)
    assert (rows[-1].balance_cents if rows else 0) == found.balance_cents
