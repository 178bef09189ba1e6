"""What still holds the crew back on the ground: the locate ticket, private lines, permits that nobody listed."""

from collections.abc import Iterator, Mapping
from datetime import date

from app.domain.basis import Basis
from app.domain.checks.yard import Yard
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import PRIVATE_LINES, Answer, Job, known_lines
from app.domain.units import format_day

ONE_CALL = "State one-call laws; public marks end at the meter"
# what a town commonly asks a permit for, by the caution or trade of a work
PERMITS: Mapping[str, str] = {
    "electricity": "electrical work",
    "gas": "gas",
    "potable": "drinking water",
    "structure": "structures and footings",
    "public-way": "the street or sidewalk",
}
ENGINEER = "engineer"  # word in the trade of a work that a permit goes with


def ticket_points(job: Job, basis: Basis, today: date, until: date | None) -> Iterator[Finding]:
    """Digging waits for a locate ticket that holds today, and is renewed before the digging ends (`until`)."""
    if not Yard(job, basis).digs():
        return
    number, last = job.site.ticket.strip(), job.site.ticket_until
    if not number or last is None:
        lacks = "its last day" if number else "its number" if last else "number and last day"
        yield _ticket(
            "The locate ticket of the one-call center is not written down. Nothing is dug before the marks are there.",
            f"no ticket: {lacks}",
            "Call 811, wait for the marks, and type the ticket's number and last day on the Site sheet.",
        )
    elif last < today:
        yield _ticket(
            f"Locate ticket {number} ran out on {format_day(last)}.",
            f"{number} until {format_day(last)}",
            "Have it renewed, wait for the marks, and type its new last day on the Site sheet.",
        )
    elif until is not None and last < until:
        yield Finding(
            rule="ticket-ends",
            severity=Severity.WARN,
            where="site",
            what=f"Locate ticket {number} holds until {format_day(last)}; the phase ends on {format_day(until)}.",
            measured=f"{number} until {format_day(last)}",
            limit=f"until {format_day(until)}",
            source=ONE_CALL,
            remedy="Renew it before its last day if anything is still to be dug then.",
        )


def _ticket(what: str, measured: str, remedy: str) -> Finding:
    return Finding(
        rule="ticket-missing",
        severity=Severity.STOP,
        where="site",
        what=what,
        measured=measured,
        limit="a ticket that holds on the day of digging",
        source=ONE_CALL,
        remedy=remedy,
        stop=Stop.LAW,
    )


def line_points(job: Job, basis: Basis) -> Iterator[Finding]:
    """Private lines that nobody asked about, where something is dug: one point for all of them."""
    answers = known_lines(job.site, job.existing)
    unknown = [words for key, words in PRIVATE_LINES.items() if answers[key] is Answer.UNKNOWN]
    if unknown and Yard(job, basis).digs():
        yield Finding(
            rule="lines-not-asked",
            severity=Severity.STOP,
            where="site",
            what=f"Nobody knows yet whether there is: {', '.join(unknown)}.",
            measured=", ".join(unknown),
            limit="every line known, or located",
            source="Public locates end at the meter (utilities' public notices); private lines are the owner's",
            remedy="Ask the owner and answer on the Site sheet, or have private lines located, before anything is dug.",
        )


def permit_points(job: Job, basis: Basis) -> Iterator[Finding]:
    """Work that towns commonly ask a permit for, where no permit is listed; an association that nobody asked."""
    yard = Yard(job, basis)
    found: dict[str, None] = {}
    for placed in yard.placed:
        if placed.where != "job":
            found.update({words: None for key, words in PERMITS.items() if key in yard.cautions(placed)})
        if any(ENGINEER in trade for trade in yard.trades(placed)):
            found["engineered walls"] = None
    kinds = {one.kind for one in job.approvals}
    if found and "permit" not in kinds:
        yield Finding(
            rule="permits-not-listed",
            severity=Severity.STOP,
            where="approvals",
            what=f"No permit is listed, and towns commonly ask one for {', '.join(found)}.",
            measured=", ".join(sorted(found)),
            limit="listed with who, number, day and last day, or none wanted",
            source="Local building, electrical, plumbing and fuel gas codes; nothing here says what yours ask",
            remedy="Ask the town's office, and list what it wants on the Phases sheet; wants it none, say who said so.",
        )
    if job.head.association.strip() and "association" not in kinds:
        yield Finding(
            rule="association-not-asked",
            severity=Severity.STOP,
            where="approvals",
            what=f"The yard lies in {job.head.association}, and its yes is not listed.",
            measured=job.head.association,
            limit="its yes in writing",
            source="The association's own rules",
            remedy="Apply, and list it on the Phases sheet; where it wants none, say who said so.",
        )
