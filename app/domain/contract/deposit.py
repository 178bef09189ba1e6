"""Whether what is asked for at signing keeps to the cap of the state. The firm's lawyer says which cap holds."""

from collections.abc import Iterator

from app.domain.basis import Basis, Rule
from app.domain.checks.rules import severity_of, source_of
from app.domain.contract.regions import region_of, rules_of
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import Estimate
from app.domain.costing.payments import schedule
from app.domain.errors import BadValue
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, only_included
from app.domain.units import format_money

SHARE, MOST = "deposit-share-", "deposit-most-"
AT_SIGNING = ("sign", "deposit")  # words of an event that is due before any work


def deposit_over_cap(job: Job, basis: Basis, worked: Estimate) -> Iterator[Finding]:
    """One point where the payments due at signing pass the lowest cap of the region; none where no cap is known.

    The first payment counts, and every other whose event speaks of signing or a deposit.
    """
    named = region_of(job, basis.firm)
    rules = [*rules_of(basis, SHARE, named), *rules_of(basis, MOST, named)]
    if not rules or worked.firm_price_cents is None:
        return
    contract, deposit = _amounts(job, basis, worked)
    caps = [(cap_cents(rule, contract), rule) for rule in rules]
    cap, rule = min(caps, key=lambda one: one[0])
    if deposit <= cap:
        return
    currency = basis.firm.currency
    yield Finding(
        rule=rule.id,
        severity=severity_of(rule),
        where="payment",
        what=f"{format_money(deposit, currency)} is asked for at signing; by the rule for {rule.title.split(', ')[-1]} "
        f"it may be {format_money(cap, currency)}.",
        measured=format_money(deposit, currency),
        limit=f"at most {format_money(cap, currency)} of {format_money(contract, currency)}",
        source=source_of(rule),
        remedy="Ask for less at signing on the Phases sheet, or settle this with what your lawyer says.",
        stop=Stop.REGION if severity_of(rule) is Severity.STOP else Stop.NONE,
    )


def cap_cents(rule: Rule, contract_cents: int) -> int:
    """What a rule allows at signing [cents], of a contract sum [cents].

    >>> cap_cents(Rule(id="deposit-share-x", title="X", value=1 / 3), 9_000_000)
    3000000
    >>> cap_cents(Rule(id="deposit-most-x", title="X", value=1000), 9_000_000)
    100000
    """
    return round(rule.value * 100) if rule.id.startswith(MOST) else round(rule.value * contract_cents)


def _amounts(job: Job, basis: Basis, worked: Estimate) -> tuple[int, int]:
    """The contract sum and what of it is due at signing [cents]."""
    included = only_included(job)
    prices = client_prices(included, worked)
    try:
        due = schedule(included, basis.firm, prices)
    except BadValue:  # the payments do not add up, which is said where they are typed
        return prices.contract, 0
    first = due[:1]
    others = [one for one in due[1:] if any(word in one.event.lower() for word in AT_SIGNING)]
    return prices.contract, sum(one.cents for one in (*first, *others))
