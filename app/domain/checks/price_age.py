"""Prices a job rests on that are no longer good: the supplier's day has passed, or nobody asked for too long."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from app.domain.basis import Basis, Price
from app.domain.checks.rules import severity_of, source_of
from app.domain.costing.estimate import Estimate
from app.domain.costing.price_day import AGE, is_stale, most_days_of
from app.domain.findings import Finding, Severity
from app.domain.units import format_day

NAMED = 4  # materials named in a sentence


def prices_to_ask_again(worked: Estimate, basis: Basis, today: date) -> Iterator[Finding]:
    """One point for each supplier some of whose prices this job uses have run out, and one for prices without a day.

    A price that its supplier holds until a day still to come is good, however old. `today` is the day at the site.
    """
    used = {one.material: basis.prices[one.material] for one in worked.purchases if one.material in basis.prices}
    most_days = most_days_of(basis)
    stale: dict[str, list[Price]] = defaultdict(list)
    for price in used.values():
        if is_stale(price, today, most_days):
            stale[price.supplier].append(price)
    for supplier, prices in sorted(stale.items()):
        yield _ask_again(basis, supplier, prices, most_days)
    undated = [price for price in used.values() if not price.priced_on and not price.valid_until]
    if undated:
        yield Finding(
            rule=AGE,
            severity=Severity.NOTE,
            where="prices",
            what=f"{len(undated)} prices of this job have no day, so how old they are was not checked.",
            measured=_names(basis, undated),
            remedy="Give them a day in the price book, or bring in the supplier's new list.",
        )


def _ask_again(basis: Basis, supplier: str, prices: Sequence[Price], most_days: float) -> Finding:
    rule = basis.rules.get(AGE)
    seller = basis.suppliers.get(supplier)
    oldest = min(price.valid_until or price.priced_on or date.max for price in prices)
    count = "1 price" if len(prices) == 1 else f"{len(prices)} prices"
    return Finding(
        rule=AGE,
        severity=severity_of(rule) if rule else Severity.WARN,
        where=f"supplier:{supplier}",
        what=f"{count} of {seller.title if seller else 'nobody in particular'} that this job uses "
        f"{'is' if len(prices) == 1 else 'are'} no longer good: {_names(basis, prices)}.",
        measured=f"{count}, the oldest of {format_day(oldest)}",
        limit=f"held by the supplier, or at most {most_days:g} days old",
        source=source_of(rule) if rule else "",
        remedy="Ask for new prices, and type them or bring in the list in the price book.",
    )


def _names(basis: Basis, prices: Sequence[Price]) -> str:
    known = ((price.material, basis.materials.get(price.material)) for price in prices)
    named = sorted(material.title if material else key for key, material in known)
    return ", ".join(named[:NAMED]) + (f" and {len(named) - NAMED} more" if len(named) > NAMED else "")
