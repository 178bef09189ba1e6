"""What accepted quotes of subcontractors make of an estimate: their exact amounts in place of the book's.

A job without an accepted quote costs nothing here. A line of the scope that the accepted quote leaves out stays at the
book's price, unless an amount is added for it; a further line that is out, or anything unclear, is an open point.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from app.domain.basis import Basis, CostClass
from app.domain.costing.lines import WHOLE_JOB, LaborLine, Line
from app.domain.errors import OutlayError
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, Packet, Quote, Stands
from app.domain.money import cost, share
from app.domain.takeoff.purchases import wanted_of
from app.domain.takeoff.requirements import Requirement
from app.domain.units import TRADE_UNITS

EXTRA = "extra:"
QUOTE = "quote"  # kind of the line of a quote that prices no line of the takeoff
MOVED = 0.01  # share by which a scope may move before it is said: assumption


def scope_key(one: Requirement) -> str:
    """Names the line of a scope that a requirement belongs to: its work, and what it is."""
    return f"{one.work_id}:{one.key}"


def extra_key(words: str) -> str:
    """Names a further line of a scope."""
    return EXTRA + words


def in_packet(one: Requirement, packet: Packet) -> bool:
    """Whether a requirement is in the scope of a packet."""
    return one.work_id in packet.work_ids or (one.kind == "material" and one.key in packet.materials)


@dataclass(frozen=True, slots=True)
class Deal:
    """A packet with its accepted quote."""

    packet: Packet
    quote: Quote

    @property
    def cents(self) -> int:
        """What it costs: the amount, and what was added for lines beside it [cents]."""
        return (self.quote.cents or 0) + sum(self.quote.added.values())

    def covers(self, key: str) -> bool:
        """Whether a line of the scope is paid by it."""
        return self.quote.scope.get(key) is not Stands.OUT or key in self.quote.added


@dataclass(frozen=True, slots=True)
class Deals:
    """The accepted quotes of a job, by what they price."""

    all: tuple[Deal, ...]
    works: Mapping[UUID, Deal]
    materials: Mapping[str, Deal]

    def of(self, one: Requirement) -> Deal | None:
        """The accepted quote that pays a requirement; a whole work goes before a trade."""
        found = self.works.get(one.work_id) or (self.materials.get(one.key) if one.kind == "material" else None)
        return found if found and found.covers(scope_key(one)) else None

    def ours(self, needed: Sequence[Requirement]) -> Sequence[Requirement]:
        """Requirements with those that a quote pays at nothing: they are neither bought nor worked by us."""
        return [replace(one, amount=0.0) if self.of(one) else one for one in needed]


def deals(job: Job) -> Deals | None:
    """The accepted quotes of a job; None where there is none."""
    if not job.packets or not job.quotes:
        return None
    accepted = {one.packet_id: one for one in job.quotes if one.accepted_on and one.cents is not None}
    found = tuple(Deal(one, accepted[one.id]) for one in job.packets if one.id in accepted)
    if not found:
        return None
    works = {work: deal for deal in reversed(found) for work in deal.packet.work_ids}
    materials = {key: deal for deal in reversed(found) for key in deal.packet.materials}
    return Deals(found, works, materials)


def book_cents(one: Requirement, basis: Basis, labor: LaborLine | None) -> int:
    """What the firm's own book makes of a requirement [cents]: 0 where it has no price for it."""
    if labor is not None:
        return labor.line.cents
    material, price = basis.materials.get(one.key), basis.prices.get(one.key)
    if material is None or price is None:
        return 0
    try:
        return cost(wanted_of(one, material), price.unit_price)
    except OutlayError:
        return 0  # it cannot be bought as it is asked for: said where nobody quoted it


LaborOf = Callable[[Requirement], LaborLine | None]


def quoted_lines(
    made: Deals, needed: Sequence[Requirement], lines: Sequence[Line], basis: Basis, labor_of: LaborOf
) -> list[Line]:
    """The lines with those that quotes pay at their exact share of the quote, by what the book makes of each.

    A quote that pays no line of the takeoff is a line of its own at the end, of the job as a whole.
    """
    result = list(lines)
    for deal in made.all:
        places = [at for at, one in enumerate(needed) if made.of(one) is deal]
        weights = [book_cents(needed[at], basis, labor_of(needed[at])) for at in places]
        parts = share(deal.cents, weights if any(weights) else [1] * len(places)) if places else ()
        for at, cents in zip(places, parts, strict=True):
            result[at] = _quoted(lines[at], needed[at], cents, basis)
        if not places and deal.cents:
            result.append(_whole(deal, len(result)))
    return result


def _quoted(line: Line, one: Requirement, cents: int, basis: Basis) -> Line:
    material, task = basis.materials.get(one.key), basis.tasks.get(one.key)
    amount, unit = line.amount, line.unit
    if one.kind == "task" and task:
        amount, unit = one.amount / TRADE_UNITS[task.unit].size, task.unit
    elif material:
        amount, unit = _wanted(one, line, basis), material.buy
    return replace(
        line,
        title=task.title if task and one.kind == "task" else line.title,
        cost_class=CostClass.SUBCONTRACT,
        amount=amount,
        unit=unit,
        hours=0.0,
        cents=cents,
        priced=True,
    )


def _wanted(one: Requirement, line: Line, basis: Basis) -> float:
    try:
        return wanted_of(one, basis.materials[one.key])
    except OutlayError:
        return line.amount


def _whole(deal: Deal, at: int) -> Line:
    title = deal.packet.title or deal.packet.trade or "Quote"
    return Line(
        QUOTE, str(deal.packet.id), title, "", at, WHOLE_JOB, "", CostClass.SUBCONTRACT, 1.0, "each", 0.0, deal.cents
    )


def scope_amounts(packet: Packet, needed: Sequence[Requirement]) -> dict[str, float]:
    """The amount in place of every line of a packet's scope [canonical units], by line; further lines have none."""
    found: dict[str, float] = {}
    for one in needed:
        if one.amount > 0 and in_packet(one, packet):
            found[scope_key(one)] = found.get(scope_key(one), 0.0) + one.amount
    return found


def scope_points(made: Deals, needed: Sequence[Requirement]) -> Iterator[Finding]:
    """What the accepted quotes leave open: lines that are out, not said or unclear, and scopes that moved since."""
    for deal in made.all:
        labels = {scope_key(one): one.label for one in needed if one.amount > 0 and in_packet(one, deal.packet)}
        extras = {extra_key(words): words for words in deal.packet.extras}
        yield from _out(deal, extras)
        yield from _unclear(deal, {**labels, **extras})
        yield from _moved(deal, scope_amounts(deal.packet, needed), labels)


def _out(deal: Deal, extras: Mapping[str, str]) -> Iterator[Finding]:
    quote = deal.quote
    for key, words in extras.items():
        if quote.scope.get(key) is Stands.OUT and key not in quote.added and not quote.elsewhere.get(key):
            yield _point(
                deal,
                "quote-out",
                f"{_title(deal)}: “{words}” is out of the accepted quote, and nobody prices it.",
                words,
                "priced elsewhere, or an amount added",
                stop=True,
            )


def _unclear(deal: Deal, labels: Mapping[str, str]) -> Iterator[Finding]:
    open_lines = [words for key, words in labels.items() if deal.quote.scope.get(key) not in (Stands.IN, Stands.OUT)]
    if open_lines:
        listed = ", ".join(dict.fromkeys(open_lines))
        told = f"{_title(deal)}: the accepted quote does not say clearly whether it holds: {listed}."
        yield _point(deal, "quote-unclear", told, listed, "in or out, in writing")


def _moved(deal: Deal, now: Mapping[str, float], labels: Mapping[str, str]) -> Iterator[Finding]:
    then = deal.quote.amounts
    moved = [key for key in {**now, **then} if abs(now.get(key, 0.0) - then.get(key, 0.0)) > MOVED * then.get(key, 0.0)]
    if then and moved:
        listed = ", ".join(dict.fromkeys(labels.get(key, "what is gone") for key in moved))
        told = f"{_title(deal)}: the scope is another than when the quote was accepted: {listed}."
        yield _point(deal, "quote-scope-moved", told, f"{listed} ({sum(now.values()):.4g})", "as it was quoted")


def _title(deal: Deal) -> str:
    return deal.packet.title or deal.packet.trade or "Work given to a subcontractor"


def _point(deal: Deal, rule: str, what: str, measured: str, limit: str, *, stop: bool = False) -> Finding:
    return Finding(
        rule=rule,
        severity=Severity.STOP if stop else Severity.WARN,
        where=f"packet:{deal.packet.id}",
        what=what,
        measured=measured,
        limit=limit,
        remedy="Ask the subcontractor, and write the answer down beside the line.",
        stop=Stop.MONEY if stop else Stop.NONE,
    )
