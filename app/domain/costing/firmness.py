"""Whether a price may be firm, and if not, why not: in plain words."""

from collections.abc import Sequence

from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, Measured


def reasons_against(job: Job, findings: Sequence[Finding], line_cents: Sequence[int]) -> tuple[str, ...]:
    """Reasons why there is a band and no point yet; none when the price may be firm.

    The owner may go on to a firm price with name and reason (`Head.firm_price_by`), but never over a missing price.
    """
    missing = [one.what for one in findings if one.severity is Severity.STOP and one.stop is Stop.MONEY]
    if not any(line_cents):
        return ("Nothing is priced yet.", *missing)
    if missing:
        return tuple(missing)
    if job.head.firm_price_by and job.head.firm_price_reason:
        return ()
    return tuple(_rough(job))


def _rough(job: Job) -> list[str]:
    rough = []
    for zone in job.zones:
        chosen = job.chosen(zone)
        if chosen is None or chosen.outline is None:
            rough.append(f"{zone.letter} {zone.title} has no outline yet.")
        elif chosen.measured is Measured.SKETCH:
            rough.append(f"{zone.letter} {zone.title} is a sketch; tape it.")
    if job.site.seen_on is None:
        rough.append("The site has not been seen yet.")
    return rough
