"""The papers of a subcontractor on a day, and what stops work or money from being released to them.

A license and workers' compensation are asked for by law: while one is out or missing there is no way round. Liability
insurance, a tax form and an outstanding lien release are about money: the owner may go on with name and reason. That is
common practice of general contractors, no single source; the law of the state decides.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from app.domain.findings import Finding, Severity, Stop
from app.domain.job import LienRelease, PaidOut
from app.domain.selling import Subcontractor
from app.domain.units import format_day

SOON = timedelta(days=30)
ADVICE = "Not legal advice; have a lawyer in your state look at what is asked of subcontractors and at your releases."
SOURCE = "State law, the firm's insurer; IRS, Instructions for the Requester of Form W-9 (from memory)"


class State(StrEnum):
    """How a paper stands."""

    GOOD = "good"
    SOON = "runs out soon"
    OUT = "ran out"
    MISSING = "not in hand"
    NOT_WANTED = "none wanted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A paper: how it stands, its last day or since when it is on file, and whether the law asks for it."""

    kind: str
    state: State
    day: date | None = None
    words: str = ""
    law: bool = False

    @property
    def stops(self) -> bool:
        """Whether nothing is released for want of it."""
        return self.state in (State.OUT, State.MISSING)


def standings(sub: Subcontractor, today: date) -> tuple[Standing, ...]:
    """License, workers' compensation, insurance, tax form and rate sheet, in that order."""
    return (
        _until(sub, "license", sub.license_until, today, law=True, none=sub.license_exempt, number=sub.license),
        _until(sub, "workers' comp", sub.comp_until, today, law=True, none=sub.comp_exempt),
        _until(sub, "insurance", sub.insured_until, today),
        _on_file(sub, "tax form", sub.tax_form_on),
        _on_file(sub, "rate sheet", sub.rates_on),
    )


def _until(
    sub: Subcontractor,
    kind: str,
    typed: date | None,
    today: date,
    *,
    law: bool = False,
    none: str = "",
    number: str = "",
) -> Standing:
    if none.strip():
        return Standing(kind=kind, state=State.NOT_WANTED, words=none.strip(), law=law)
    kept = (one.until for one in sub.kept_papers if one.kind == kind and one.until)
    day = max((one for one in (typed, *kept) if one), default=None)
    if day is None:
        state = State.MISSING
    elif day < today:
        state = State.OUT
    else:
        state = State.SOON if day <= today + SOON else State.GOOD
    return Standing(kind=kind, state=state, day=day, words=number, law=law)


def _on_file(sub: Subcontractor, kind: str, since: date | None) -> Standing:
    there = since is not None or any(one.kind == kind for one in sub.kept_papers)
    return Standing(kind=kind, state=State.GOOD if there else State.MISSING, day=since)


def release_stops(sub: Subcontractor, packet: str, today: date) -> Iterator[Finding]:
    """What stops work from being released to them on a day."""
    for one in standings(sub, today):
        if one.stops and one.kind in ("license", "workers' comp", "insurance"):
            yield _paper_stop(sub, packet, one)


def payment_stops(
    sub: Subcontractor, packet: str, today: date, paid: Iterable[PaidOut], releases: Iterable[LienRelease]
) -> Iterator[Finding]:
    """What stops the next payment: papers, the tax form, and lien releases that are outstanding."""
    yield from release_stops(sub, packet, today)
    tax = next(one for one in standings(sub, today) if one.kind == "tax form")
    if tax.stops:
        yield _paper_stop(sub, packet, tax)
    held = tuple(releases)
    for payment in outstanding(paid, held):
        yield Finding(
            rule="lien-release-outstanding",
            severity=Severity.STOP,
            where=f"packet:{packet}",
            what=(
                f"{sub.title}: the unconditional lien release for the payment of {format_day(payment.day)} is "
                "outstanding."
            ),
            measured=str(payment.id),
            limit=wanted_kind(payment),
            source=SOURCE,
            remedy="Ask for it, and write it down with its paper.",
            stop=Stop.MONEY,
        )


def wanted_kind(payment: PaidOut) -> str:
    """The lien release that settles a payment: unconditional, for progress or final."""
    return "unconditional final" if payment.final else "unconditional progress"


def outstanding(paid: Iterable[PaidOut], releases: Iterable[LienRelease]) -> tuple[PaidOut, ...]:
    """Payments whose unconditional release did not come; a final one settles what was paid before it, too."""
    held = {(one.payment, one.kind) for one in releases}
    payments = sorted(paid, key=lambda one: (one.day, str(one.said_at)))
    closed = {payment for payment, kind in held if kind == "unconditional final"}
    last = max((at for at, one in enumerate(payments) if str(one.id) in closed), default=-1)
    return tuple(one for one in payments[last + 1 :] if (str(one.id), wanted_kind(one)) not in held)


def _paper_stop(sub: Subcontractor, packet: str, one: Standing) -> Finding:
    told = f"ran out on {format_day(one.day)}" if one.day and one.state is State.OUT else "is not in hand"
    lacks = " with its last day" if one.kind == "license" and one.words and one.day is None else ""
    return Finding(
        rule=f"sub-paper-{one.kind.replace(' ', '-').replace(chr(39), '')}",
        severity=Severity.STOP,
        where=f"packet:{packet}",
        what=f"{sub.title}: {NAMES[one.kind]}{lacks} {told}.",
        measured=f"{sub.key} {one.kind} {one.day or 'none'}",
        limit="good on the day of release",
        source=SOURCE,
        remedy="Ask for the paper, and type its day in the book of subcontractors.",
        stop=Stop.LAW if one.law else Stop.MONEY,
    )


NAMES = {
    "license": "the license",
    "workers' comp": "workers' compensation",
    "insurance": "proof of liability insurance",
    "tax form": "the tax form",
    "rate sheet": "the rate sheet",
}
