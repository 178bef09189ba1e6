"""The estimate of a job. So far only its shape: what a sheet shows before anything is priced."""

from dataclasses import dataclass, field

from app.domain.basis import Basis
from app.domain.findings import Finding
from app.domain.job import Job


@dataclass(frozen=True, slots=True)
class Range:
    """A band [cents]."""

    low: int = 0
    likely: int = 0
    high: int = 0


@dataclass(frozen=True, slots=True)
class Estimate:
    """What a job costs and is sold for."""

    findings: tuple[Finding, ...] = ()
    range: Range = field(default_factory=Range)
    firm_price_cents: int | None = None


def estimate(job: Job, basis: Basis) -> Estimate:  # noqa: ARG001 - the costing follows
    """Work out a job on its basis."""
    return Estimate()
