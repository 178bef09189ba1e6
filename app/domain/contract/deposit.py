"""Whether what is asked for at signing keeps to the cap of the state. The firm's lawyer says which cap holds."""

import re
from collections.abc import Iterator
from math import floor

from app.domain.basis import Basis, Rule
from app.domain.checks.regions import DEPOSIT, region_of, rule_in, rules_of, said_unreviewed
from app.domain.checks.rules import severity_of, source_of
from app.domain.costing.client_prices import ClientPrices, client_prices
from app.domain.costing.estimate import Estimate
from app.domain.costing.payments import Due, last_takes, schedule
from app.domain.errors import BadValue
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, only_included
from app.domain.units import format_money

SHARE, MOST = "deposit-share-", "deposit-most-"
AT_SIGNING = re.compile(r"\b(sign|deposit)", re.IGNORECASE)  # an event that is due before any work
HAIR = 0.005  # cents that a third, written as a decimal, may lie below a third of a sum


def deposit_over_cap(job: Job, basis: Basis, worked: Estimate) -> Iterator[Finding]:
    """What is wrong with the payments: above all, those due at signing pass the lowest cap of the region.

    The first payment counts, and every other whose event speaks of signing or a deposit. Payments that pass the
    contract sum stop: nobody can sign them; where the last is not what was typed, that is said.
    """
    named = region_of(job, basis.firm)
    rules = [*rules_of(basis, SHARE, named), *rules_of(basis, MOST, named)]
    if worked.firm_price_cents is None:
        return
    included = only_included(job)
    prices = client_prices(included, worked)
    try:
        due = schedule(included, basis.firm, prices)
    except BadValue as wrong:
        yield _too_much(wrong.sentence, format_money(prices.contract, basis.firm.currency))
        return
    yield from _moved(included, prices, due, basis.firm.currency)
    contract, deposit, asked = prices.contract, _ahead(due), _asked(due)
    if not rules:
        yield from _unreviewed(basis, named, contract, deposit, asked)
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
        what=f"{format_money(deposit, currency)} is asked for {asked}; by the rule for {rule.title.split(', ')[-1]} "
        f"it may be {format_money(cap, currency)}.",
        measured=format_money(deposit, currency),
        limit=f"at most {format_money(cap, currency)} of {format_money(contract, currency)}",
        source=source_of(rule),
        remedy="Ask for less at signing on the Phases sheet, or settle this with what your lawyer says.",
        stop=Stop.REGION if severity_of(rule) is Severity.STOP else Stop.NONE,
    )


def _too_much(sentence: str, contract: str) -> Finding:
    return Finding(
        rule="payments-add-up",
        severity=Severity.STOP,
        where="payment",
        what=sentence,
        limit=f"{contract} in all",
        remedy="Change the payments on the Phases sheet.",
        stop=Stop.MONEY,
    )


def _moved(job: Job, prices: ClientPrices, due: tuple[Due, ...], currency: str) -> Iterator[Finding]:
    """Payments that add up only because the last is another than was typed."""
    taken = last_takes(job, prices)
    if taken is not None:
        last, by = taken
        way = "less" if by > 0 else "more"
        yield Finding(
            rule="payments-typed",
            severity=Severity.WARN,
            where="payment",
            what=f"As typed, the payments come to {format_money(abs(by), currency)} {way} than "
            f"the contract sum: the last, “{last.event}”, is printed as {format_money(due[-1].cents, currency)}.",
            measured=format_money(by, currency),
            limit=format_money(prices.contract, currency),
            remedy="Change the shares, or leave share and amount of one payment empty: it takes what is left.",
        )


def _unreviewed(basis: Basis, named: str, contract: int, deposit: int, asked: str) -> Iterator[Finding]:
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
        what=f"{format_money(deposit, currency)} is asked for {asked}; what {place} allows was not looked up.",
        measured=f"{format_money(deposit, currency)}, {named.strip() or 'no state'}",
        limit=f"at most {format_money(cap, currency)} of {format_money(contract, currency)} by the strictest known",
        source=source_of(rule),
        remedy="Ask your lawyer what the state allows, and settle this with what they say; or ask for less at signing.",
    )


def cap_cents(rule: Rule, contract_cents: int) -> int:
    """What a rule allows at signing, whole cents and never more than its share, of a contract sum [cents].

    >>> cap_cents(Rule(id="deposit-share-x", title="X", value=1 / 3), 9_000_000)
    3000000
    >>> cap_cents(Rule(id="deposit-most-x", title="X", value=1000), 9_000_000)
    100000
    >>> cap_cents(Rule(id="deposit-share-x", title="X", value=0.333333333333), 200)
    66
    """
    return round(rule.value * 100) if rule.id.startswith(MOST) else floor(rule.value * contract_cents + HAIR)


def _ahead(due: tuple[Due, ...]) -> int:
    """What of the payments is due before any work [cents]."""
    others = [one for one in due[1:] if AT_SIGNING.search(one.event)]
    return sum(one.cents for one in (*due[:1], *others))


def _asked(due: tuple[Due, ...]) -> str:
    """When it is asked for, in words: a first payment for something else counts, and is named."""
    named = not due or AT_SIGNING.search(due[0].event)
    return "at signing" if named else f"first, for “{due[0].event}”, which may count as a deposit"
