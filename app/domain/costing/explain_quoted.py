"""Where a line that an accepted quote pays comes from: the quote, shared by what the book makes of each line."""

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import labor_line
from app.domain.costing.quoted import QUOTE, Deal, book_cents, deals, in_packet
from app.domain.job import Job
from app.domain.takeoff.requirements import Requirement
from app.domain.takeoff.trace import Trace
from app.domain.units import format_day, format_money


def explain_quoted(job: Job, basis: Basis, worked: Estimate, at: int) -> Trace | None:
    """How the cost of the line at a place came about; None where no accepted quote pays it."""
    made = deals(job)
    if made is None:
        return None
    line = worked.lines[at]
    if line.kind == QUOTE:
        deal = next((one for one in made.all if str(one.packet.id) == line.key), None)
        return _quote(deal, basis) if deal else None
    one = worked.requirements[at] if at < len(worked.requirements) else None
    deal = made.of(one) if one else None
    if one is None or deal is None:
        return None
    whole = sum(_book(it, basis, worked) for it in worked.requirements if made.of(it) is deal)
    own = _book(one, basis, worked)
    filled = f"{_money(own, basis)} of {_money(whole, basis)} × {_money(deal.cents, basis)}" if whole else "even parts"
    return Trace(
        label=line.title,
        expression="its share of the accepted quote, by what the book makes of it",
        filled=filled,
        result=line.cents / 100,
        unit=basis.firm.currency,
        steps=(_quote(deal, basis),),
    )


def explain_quote(job: Job, basis: Basis, quote_id: str) -> Trace | None:
    """What a quote comes to, accepted or not; None for one that is gone."""
    quote = next((one for one in job.quotes if str(one.id) == quote_id), None)
    packet = next((one for one in job.packets if quote and one.id == quote.packet_id), None)
    return _quote(Deal(packet, quote), basis) if packet and quote else None


def explain_scope(job: Job, basis: Basis, worked: Estimate, packet_id: str) -> Trace | None:
    """What the firm's own book makes of a packet's scope, line by line; None for one that is gone."""
    packet = next((one for one in job.packets if str(one.id) == packet_id), None)
    if packet is None:
        return None
    unit = basis.firm.currency
    own = [one for one in worked.requirements if one.amount > 0 and in_packet(one, packet)]
    cents = [_book(one, basis, worked) for one in own]
    steps = tuple(
        Trace(label=one.label, expression="amount × price", filled="", result=each / 100, unit=unit)
        for one, each in zip(own, cents, strict=True)
    )
    total = sum(cents)
    told = "sum of what the book makes of its lines, before packs and loads"
    return Trace(label="By the book", expression=told, filled="", result=total / 100, unit=unit, steps=steps)


def _book(one: Requirement, basis: Basis, worked: Estimate) -> int:
    return book_cents(one, basis, labor_line(one, worked.paying) if one.kind == "task" else None)


def _quote(deal: Deal, basis: Basis) -> Trace:
    quote, firm = deal.quote, basis.firm
    sub = basis.subcontractors.get(quote.subcontractor)
    who = sub.title if sub else "the subcontractor"
    day = f", {format_day(quote.given_on)}" if quote.given_on else ""
    added = [
        Trace(label=key.rpartition(":")[2], expression="added", filled="", result=cents / 100, unit=firm.currency)
        for key, cents in quote.added.items()
    ]
    amount = Trace(
        label="As quoted",
        expression="typed",
        filled="",
        result=(quote.cents or 0) / 100,
        unit=firm.currency,
        source=who,
    )
    return Trace(
        label=deal.packet.title or deal.packet.trade or "Quote",
        expression="amount of the quote + what was added for lines beside it" if added else "amount of the quote",
        filled="",
        result=deal.cents / 100,
        unit=firm.currency,
        source=f"quote of {who}{day}",
        steps=(amount, *added),
    )


def _money(cents: int, basis: Basis) -> str:
    return format_money(cents, basis.firm.currency)
