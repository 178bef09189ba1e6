"""Whether what is asked for at signing keeps to the cap of the state. The firm's lawyer says which cap holds."""

from collections.abc import Iterator

from app.domain.basis import Basis, Rule
from app.domain.checks.regions import DEPOSIT, region_of, rule_in, rules_of, said_unreviewed
from app.domain.checks.rules import severity_of, source_of
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
    if worked.firm_price_cents is None:
        return
    contract, deposit = _amounts(job, basis, worked)
    if not rules:
        yield from _unreviewed(basis, named, contract, deposit)
        return
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


def _unreviewed(basis: Basis, named: str, contract: int, deposit: int) -> Iterator[Finding]:
    """A deposit above the lowest cap that was looked up, for a place where nobody looked one up: it warns."""
    held = rule_in(basis, DEPOSIT, named)
    cap = cap_cents(held.rule, contract) if held else deposit
    if held is None or deposit <= cap:
        return
    rule, currency = said_unreviewed(held, named), basis.firm.currency
    place = named.strip() or "the place of this yard, which is not typed"
    yield Finding(
        rule=rule.id,
        severity=severity_of(rule),
        where="payment",
        what=f"{format_money(deposit, currency)} is asked for at signing; what {place} allows was not looked up.",
        measured=f"{format_money(deposit, currency)}, {named.strip() or 'no state'}",
        limit=f"at most {format_money(cap, currency)} of {format_money(contract, currency)} by the strictest known",
        source=source_of(rule),
        remedy="Ask your lawyer what the state allows, and settle this with what they say; or ask for less at signing.",
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
