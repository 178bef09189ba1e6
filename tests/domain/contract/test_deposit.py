"""Deposit caps by state, against the statutes named beside each rule of the library."""

from dataclasses import replace
from decimal import Decimal
from uuid import uuid4

import pytest

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

# 73 P.S. 517.7; Cal. B&P 7159.5(a)(3); Md. Bus. Reg. 8-617; M.G.L. c. 142A 2(a): contract → most at signing, dollars
CAPS = [
    ("PA", 90_000, 30_000),
    ("CA", 90_000, 1_000),
    ("CA", 6_000, 600),
    ("MD", 12_345, 4_115),
    ("MA", 30_000, 10_000),
]


@pytest.mark.parametrize(("state", "contract", "most"), CAPS)
def test_caps_are_those_of_the_statutes(stocked, state, contract, most):
    rules = rules_of(stocked.basis(), "deposit-", state)
    assert min(cap_cents(rule, contract * 100) for rule in rules) == most * 100


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
    assert "517.7" in found.source
    assert asked_at_signing(stocked, ready, "PA", "0.33") == []
    assert asked_at_signing(stocked, ready, "PA", "0.3333") == []
    (found,) = asked_at_signing(stocked, ready, "California", "0.05")
    assert "$1,000" in found.limit
    assert [one.rule for one in asked_at_signing(stocked, ready, "PA", "0.90")] == ["deposit-share-pa"]


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
