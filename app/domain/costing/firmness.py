"""Whether a price may be firm, and if not, why not: in plain words. The class of the estimate decides (`known`)."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from app.domain.costing.known import Facts, priced_runs, rough
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Alternative, Job, Measured, Run

MOST_NAMED = 4  # places named to the client, then how many more


def reasons_against(facts: Facts, line_cents: Sequence[int]) -> tuple[str, ...]:
    """Reasons why there is a band and no point yet; none when the class of the estimate allows a firm price.

    The owner may go on before that with name and reason (`Head.firm_price_by`); a money stop he settles one by one.
    """
    stops, head = stops_against(facts.job, facts.findings, line_cents), facts.job.head
    if stops or (head.firm_price_by and head.firm_price_reason):
        return stops
    return rough(facts)


def stops_against(job: Job, findings: Iterable[Finding], line_cents: Sequence[int]) -> tuple[str, ...]:
    """Those of them that nobody's name and reason overrules: nothing is priced, or money is missing somewhere."""
    settled = {one.finding for one in job.settlements}
    open_stops = [one for one in findings if one.severity is Severity.STOP and one.stop is Stop.MONEY]
    missing = [one.what for one in open_stops if one.key not in settled]
    return tuple(missing) if any(line_cents) else ("Nothing is priced yet.", *missing)


def reasons_for_client(job: Job) -> tuple[str, ...]:
    """Why there is a range and no price yet, as the client reads it: what is still to be done, and by whom."""
    by_zone = job.chosen_by_zone()
    zones = [zone for zone in job.zones if _is_rough(by_zone.get(zone.id))]
    named = [f"{zone.letter} {zone.title}".strip() for zone in zones]
    named += [run.title or "a line" for run in priced_runs(job) if _sketched(run)]
    told = []
    if named:
        more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
        few = ", ".join(named[:MOST_NAMED]) + more
        told.append(f"Measured on a sketch so far: {few}. We tape it before the price is firm.")
    if job.site.seen_on is None:
        told.append("We have not seen the yard yet.")
    return tuple(told) or ("Something is still to be chosen or priced.",)


def _is_rough(way: Alternative | None) -> bool:
    return way is None or way.outline is None or way.measured is Measured.SKETCH


def _sketched(run: Run) -> bool:
    return run.measured is Measured.SKETCH


def set_aside(job: Job, missing: Sequence[Finding]) -> tuple[Finding, ...]:
    """Missing prices, with those that an allowance of the job stands for as notes: they are money already.

    An allowance stands for a material by name, and only with an amount.
    """
    standing = {f"material:{one.material}": one for one in job.allowances if one.material and one.cents > 0}
    return tuple(_noted(one, standing[one.where].title) if one.where in standing else one for one in missing)


def _noted(finding: Finding, allowance: str) -> Finding:
    if finding.rule != "price-missing":
        return finding
    return replace(
        finding,
        rule="price-set-aside",
        severity=Severity.NOTE,
        what=f"{finding.what.removesuffix(' yet.')}; the allowance “{allowance}” stands for it.",
        measured=allowance,
        remedy="Type the price in the price book once it is known, and take the allowance out.",
        stop=Stop.NONE,
    )
