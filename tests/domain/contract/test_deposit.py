"""Deposit caps by state, against the statutes named beside each rule of the library."""

from dataclasses import replace
from decimal import Decimal
from uuid import uuid4

import pytest

from app.domain.checks import may_settle
from app.domain.checks.regions import is_of, rules_of
from app.domain.contract.deposit import SHARE, cap_cents, deposit_over_cap
from app.domain.contract.regions import days_to_cancel
from app.domain.costing.estimate import estimate
from app.domain.findings import Severity, Stop
from app.domain.job import Payment
from app.interchange.contract_papers import asked_by_states
from app.services.jobs import changed, made, open_job, removal, save
from app.services.sheets import sheet
from tests.offering import order

# 73 P.S. 517.9(10); Cal. B&P 7159.5(a)(3); Md. Bus. Reg. 8-617(b); M.G.L. c. 142A 2(a)(6); 10 M.R.S. 1487(5):
# contract → most at signing, dollars
CAPS = [
    ("PA", 90_000, 30_000),
    ("CA", 90_000, 1_000),
    ("CA", 6_000, 600),
    ("MD", 12_345, 4_115),
    ("CA", 10_000, 1_000),
    ("CA", 9_999, 999.90),
    ("MA", 30_000, 10_000),
    ("ME", 30_001, 10_000.33),
    ("PA", 20_000, 6_666.66),  # a third is 6,666.66⅔: a cent more would pass it
]


@pytest.mark.parametrize(("state", "contract", "most"), CAPS)
def test_caps_are_those_of_the_statutes(stocked, state, contract, most):
    rules = rules_of(stocked.basis(), "deposit-", state)
    assert min(cap_cents(rule, contract * 100) for rule in rules) == round(most * 100)


@pytest.mark.parametrize(
    ("region", "named", "same"),
    [
        ("PA, Pennsylvania", "PA", True),
        ("PA, Pennsylvania", " pennsylvania", True),
        ("PA, Pennsylvania", "Pa", True),
        ("PA, Pennsylvania", "Paris", False),
        ("CA, California", "", False),
        ("", "PA", False),
    ],
)
def test_a_region_is_known_by_its_letters_or_its_name(region, named, same):
    assert is_of(region, named) is same


def asked_at_signing(office, job_id, state, share):
    opened = open_job(office, job_id)
    first = Payment(id=uuid4(), event="At signing", share=Decimal(share), position=0)
    rest = Payment(id=uuid4(), event="Finished", position=1)
    job = replace(opened.job, head=replace(opened.job.head, state=state), payments=(first, rest))
    return list(deposit_over_cap(job, opened.basis, estimate(job, opened.basis)))


def test_deposit_above_the_cap_is_a_point_of_the_firms_papers(stocked, ready):
    (found,) = asked_at_signing(stocked, ready, "PA", "0.40")
    assert found.stop is Stop.REGION
    assert "517.9(10)" in found.source
    assert asked_at_signing(stocked, ready, "PA", "0.33") == []
    assert asked_at_signing(stocked, ready, "PA", "0.3333") == []
    (found,) = asked_at_signing(stocked, ready, "California", "0.05")
    assert "$1,000" in found.limit
    assert [one.rule for one in asked_at_signing(stocked, ready, "PA", "0.90")] == ["deposit-share-pa"]


def ahead(office, job_id, *payments):
    opened = open_job(office, job_id)
    named = [Payment(id=uuid4(), event=event, share=share, position=at) for at, (event, share) in enumerate(payments)]
    job = replace(opened.job, head=replace(opened.job.head, state="PA"), payments=tuple(named))
    return list(deposit_over_cap(job, opened.basis, estimate(job, opened.basis)))


def test_a_first_payment_for_something_else_is_named_as_what_it_is(stocked, ready):
    (found,) = ahead(stocked, ready, ("Pavers on the drive", Decimal("0.40")), ("Finished", None))
    assert "first, for “Pavers on the drive”" in found.what
    (found,) = ahead(stocked, ready, ("When you sign", Decimal("0.40")), ("Finished", None))
    assert "is asked for at signing" in found.what


@pytest.mark.parametrize(("event", "said"), [("Deposit on the stone", 1), ("Planting design walked", 0)])
def test_a_later_payment_counts_ahead_where_its_words_say_so(stocked, ready, event, said):
    found = ahead(stocked, ready, ("At signing", Decimal("0.30")), (event, Decimal("0.10")), ("Finished", None))
    assert len(found) == said


def test_a_last_payment_that_is_not_what_was_typed_is_said(stocked, ready):
    (found,) = ahead(stocked, ready, ("At signing", Decimal("0.30")), ("Finished", Decimal("0.50")))
    assert found.rule == "payments-typed"
    assert "less than the contract sum: the last, “Finished”" in found.what
    assert ahead(stocked, ready, ("At signing", Decimal("0.30")), ("Finished", Decimal("0.70"))) == []
    assert ahead(stocked, ready, ("At signing", Decimal("0.30")), ("Finished", None)) == []


def test_payments_beyond_the_contract_sum_stop_the_signing_and_nobody_goes_on_without(stocked, ready):
    (found,) = ahead(
        stocked, ready, ("At signing", Decimal("0.90")), ("Half", Decimal("0.20")), ("End", Decimal("0.05"))
    )
    assert found.rule == "payments-add-up"
    assert found.stop is Stop.MONEY
    assert not may_settle(found)


@pytest.mark.parametrize(("state", "share", "said"), [("Ohio", "0.09", 0), ("Ohio", "0.11", 1), ("", "0.11", 1)])
def test_state_nobody_looked_up_is_held_to_the_strictest_known_and_says_so(stocked, ready, state, share, said):
    found = asked_at_signing(stocked, ready, state, share)
    assert [one.rule for one in found] == ["deposit-share-strict"] * said
    assert all(one.severity is Severity.WARN and "not reviewed for" in one.source for one in found)


def test_days_to_cancel_are_never_fewer_than_the_federal_three(stocked):
    basis = stocked.basis()
    assert days_to_cancel(basis) == 3
    for value, days in ((1, 3), (5, 5)):
        rule = replace(basis.rules["days-to-cancel"], value=value)
        assert days_to_cancel(replace(basis, rules={**basis.rules, "days-to-cancel": rule})) == days


def test_every_row_of_the_library_says_where_it_comes_from(stocked):
    assert all(one.source and one.words and ", " in one.region for one in asked_by_states())
    assert all(
        rule.region
        for key, rule in stocked.basis().rules.items()
        if key.startswith((SHARE, "deposit-most-")) and not key.endswith("-strict")
    )


def test_deposit_above_the_cap_stops_the_signing_until_it_is_settled(stocked, ready):
    opened = open_job(stocked, ready)
    first = Payment(id=uuid4(), event="At signing", share=Decimal("0.40"), position=0)
    rest = Payment(id=uuid4(), event="Finished", position=1)
    gone = [edit for one in opened.job.payments for edit in removal(opened, "payment", one.id)]
    state = changed("job", ready, opened.version("job", ready), {"state": "PA"})
    save(stocked, ready, (*gone, made("payment", first), made("payment", rest), state), order())
    found = sheet(stocked, ready).readiness.region
    assert [one.rule for one in found if one.where == "payment"] == ["deposit-share-pa"]
