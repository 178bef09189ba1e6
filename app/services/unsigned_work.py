"""Work not signed for must not start: the open points of a signed job whose plan is not what was signed."""

from datetime import date
from uuid import UUID

from app.domain.contract.difference import Difference, ZoneDifference, difference
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.lines import WHOLE_JOB
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, Stage, unlogged
from app.domain.keeping import KeptByInputs, Same
from app.domain.later import taken_in
from app.domain.units import format_money
from app.services.agreed import Agreed, agreed_of, printed_prices
from app.services.jobs import OpenJob
from app.services.office import Office

RULE = "not-signed-for"
BEFORE = {Stage.LEAD, Stage.DESIGN, Stage.OFFERED, Stage.LOST}
KEPT = 16  # differences, and contracts worked out


def difference_of(
    office: Office, opened: OpenJob, today: date, agreed: Agreed, *, with_whole: bool = False
) -> Difference:
    """What today's plan changes of the contract; worked out once while both stand as they are."""
    memory: KeptByInputs[Difference] = office.database.memory.setdefault("differences", KeptByInputs(KEPT, each=2))
    rests_on = (Same(unlogged(opened.job)), Same(opened.basis), Same(agreed), today)

    def work() -> Difference:
        standing = agreed.contract.standing
        return difference(
            standing,
            opened.job,
            opened.basis,
            _not_yet(office, opened.job, agreed, today),
            with_whole=with_whole,
            before=_before(office, agreed),
        )

    return memory.get_or_make((opened.job.head.id, with_whole), rests_on, work)


def _before(office: Office, agreed: Agreed) -> Estimate:
    memory: KeptByInputs[Estimate] = office.database.memory.setdefault("contract estimates", KeptByInputs(KEPT, each=1))
    standing = agreed.contract.standing
    return memory.get_or_make(standing.job.head.id, (Same(agreed),), lambda: estimate(standing.job, standing.basis))


def _not_yet(office: Office, job: Job, agreed: Agreed, today: date) -> frozenset[UUID]:
    """Options ticked since signing at a printed price that still holds: they are signed on a page of their own."""
    new = taken_in(job) - taken_in(agreed.contract.standing.job)
    first = agreed.papers[0]
    if not new or first.holds_until is None or today > first.holds_until:
        return frozenset()
    return frozenset(new & printed_prices(office, first).keys())


def unsigned_points(office: Office, opened: OpenJob, today: date) -> tuple[Finding, ...]:
    """One stop for each zone whose plan is not what was signed: it stops the crew there, not the pages."""
    if opened.job.head.stage in BEFORE:
        return ()
    agreed = agreed_of(office, opened.job.head.id)
    if agreed is None:
        return ()
    return tuple(_point(one, opened) for one in difference_of(office, opened, today, agreed).zones)


def _point(one: ZoneDifference, opened: OpenJob) -> Finding:
    firm = opened.basis.firm
    by = format_money(one.by, firm.currency, language=firm.language)
    what = ", ".join(dict.fromkeys((*(item.title for item in one.items), *(row.title for row in one.found))))
    there = one.zone != WHOLE_JOB
    return Finding(
        rule=RULE,
        severity=Severity.STOP,
        where=f"zone:{one.zone}" if there and _is_there(opened.job, one.zone) else "job",
        what=f"{f'{one.letter} {one.title}'.strip()}: not what was signed ({what}). Do not start it yet.",
        measured=f"{'+' if one.by >= 0 else ''}{by}",
        limit="signed before work",
        source="the signed contract",
        remedy="Offer the change order and have it signed; or write down why you start before that.",
        stop=Stop.NONE,
    )


def _is_there(job: Job, zone: str) -> bool:
    return any(str(one.id) == zone for one in job.zones)
