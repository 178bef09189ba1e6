"""What slows the work of a job, a row a cause, as the Site and the Estimate sheet show it."""

from dataclasses import dataclass

from app.domain.costing.site_factors import SEASONS, SiteFactor, Slowing
from app.domain.job import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class SlowingRow:
    """One cause: its factor, what it comes from, the row of its table; `figure` opens it, where it counts."""

    cause: str
    factor: float
    why: str
    row: str
    figure: str


def slowing_rows(job: Job, slowing: Slowing) -> tuple[SlowingRow, ...]:
    """The site's causes, those of the months that phases begin in, and what was set by hand and does not count."""
    rows = [_row(one, f"factor:{one.cause}") for one in slowing.site.values()]
    for cause in SEASONS:
        met = [(phase, slowing.of(str(phase.id))[cause]) for phase in job.phases if cause in slowing.of(str(phase.id))]
        for phase, one in met[:1]:
            why = ", ".join(f"phase {other.number} {factor.why}" for other, factor in met)
            rows.append(_row(one, f"factor:{cause}:{phase.id}", why))
        if not met and cause in job.site.slowing:
            rows.append(
                SlowingRow(cause=cause, factor=1.0, why=f"no phase begins in {SEASONS[cause]}", row="", figure="")
            )
    return tuple(rows)


def _row(one: SiteFactor, figure: str, why: str = "") -> SlowingRow:
    told = why or one.why
    words = f"{told}; set by hand: {one.reason}" if one.reason else told
    return SlowingRow(cause=one.cause, factor=one.factor, why=words, row=one.row, figure=figure)
