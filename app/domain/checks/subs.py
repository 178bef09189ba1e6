"""Work of subcontractors before signing: prices without a written quote, quotes that ran out, papers that did."""

from collections.abc import Iterator
from datetime import date

from app.domain.basis import Basis, CostClass
from app.domain.costing.estimate import Estimate
from app.domain.costing.quoted import Deal, deals
from app.domain.findings import Finding, Severity
from app.domain.job import Job
from app.domain.units import format_day

NAMED = 4  # trades named in a sentence
REMEDY = "Send a packet to two or three subcontractors, and accept a quote."


def without_quote(job: Job, basis: Basis, worked: Estimate) -> Iterator[Finding]:
    """One point for all trades that are priced from the book: the firm has no quote in hand for them."""
    made, subcontract = deals(job), CostClass.SUBCONTRACT
    needed = [
        one for one, line in zip(worked.requirements, worked.lines, strict=False) if line.cost_class is subcontract
    ]
    open_keys = {one.key: None for one in needed if one.amount > 0 and not (made and made.of(one))}
    if open_keys:
        titles = [basis.materials[key].title for key in open_keys if key in basis.materials]
        more = f" and {len(titles) - NAMED} more" if len(titles) > NAMED else ""
        yield Finding(
            rule="quote-missing",
            severity=Severity.WARN,
            where="subs",
            what=f"Priced from the book, no quote in hand: {', '.join(titles[:NAMED])}{more}.",
            measured=", ".join(sorted(open_keys)),
            limit="a written quote",
            remedy=REMEDY,
        )


def quotes_and_papers(job: Job, basis: Basis, today: date) -> Iterator[Finding]:
    """Accepted quotes that do not hold any more, and subcontractors whose insurance is out or not known."""
    made = deals(job)
    for deal in made.all if made else ():
        until = deal.quote.valid_until
        if until is None or until < today:
            what = f"held until {format_day(until)}" if until else "does not say until when it holds"
            yield _point(
                deal, "quote-expired", f"{_title(deal)}: the accepted quote {what}.", str(until), "holds today"
            )
        yield from _papers(deal, basis, today)


def _papers(deal: Deal, basis: Basis, today: date) -> Iterator[Finding]:
    sub = basis.subcontractors.get(deal.quote.subcontractor)
    if sub is None:
        yield _point(
            deal, "sub-papers", f"{_title(deal)}: nobody in the book stands behind the accepted quote.", "", ""
        )
        return
    until = sub.insured_until
    if until is None or until < today:
        what = f"ran out on {format_day(until)}" if until else "is not in hand"
        yield _point(deal, "sub-papers", f"{sub.title}: proof of insurance {what}.", str(until), "good today")
    for paper in sub.kept_papers:
        renewed = any(one.kind == paper.kind and (one.until is None or one.until >= today) for one in sub.kept_papers)
        if paper.kind != "insurance" and paper.until and paper.until < today and not renewed:
            told = f"{sub.title}: {paper.kind} ran out on {format_day(paper.until)}."
            yield _point(deal, "sub-papers", told, f"{paper.kind} {paper.until}", "good today")
    if not sub.license:
        told = f"{sub.title}: no license number is written down. Many states want one for the trade."
        yield _point(deal, "sub-papers", told, "license", "written down, or none wanted")


def _title(deal: Deal) -> str:
    return deal.packet.title or deal.packet.trade or "Work given to a subcontractor"


def _point(deal: Deal, rule: str, what: str, measured: str, limit: str) -> Finding:
    return Finding(
        rule=rule,
        severity=Severity.WARN,
        where=f"packet:{deal.packet.id}",
        what=what,
        measured=measured,
        limit=limit,
        source="State law and the firm's own insurer ask for papers of subcontractors",
        remedy="Ask for the paper, and type its day in the book of subcontractors.",
    )
