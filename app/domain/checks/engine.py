"""The checks of a job: rules as data, one small function a rule. What lacks an input says so; nothing passes unseen."""

from collections.abc import Iterator, Mapping

from app.domain.basis import Basis
from app.domain.checks import clearances, doors, hazards, levels, steps, surfaces
from app.domain.checks.buried import BURIED
from app.domain.checks.completeness import COMPLETENESS, over_budget, papers
from app.domain.checks.fitting import FITTING
from app.domain.checks.rules import Check
from app.domain.checks.subs import without_quote
from app.domain.checks.yard import Yard
from app.domain.costing.backwards import price_points
from app.domain.costing.estimate import Estimate
from app.domain.costing.pay_rules import pay_points
from app.domain.costing.tax import tax_points
from app.domain.findings import Finding, Severity, in_order
from app.domain.job import Job

CHECKS: Mapping[str, Check] = {
    **surfaces.CHECKS,
    **clearances.CHECKS,
    **levels.CHECKS,
    **steps.CHECKS,
    **doors.CHECKS,
    **hazards.CHECKS,
}
VALUES = frozenset({surfaces.REACH}) | steps.VALUES  # rules that only hold a value for another


def check(job: Job, basis: Basis) -> tuple[Finding, ...]:
    """Every finding of the rules of a basis about a job, and what is still open, the loudest first."""
    yard = Yard(job, basis)
    found = [finding for key, one in CHECKS.items() if key in basis.rules for finding in one(yard, basis.rules[key])]
    found += [finding for one in (*COMPLETENESS, *FITTING, *BURIED) for finding in one(yard)]
    found += _rules_missing(yard)
    return in_order(dict.fromkeys(found))


def open_points(job: Job, basis: Basis, estimate: Estimate) -> tuple[Finding, ...]:
    """Everything there is to settle: the estimate's findings, the checks, the budget and the firm's papers."""
    found = (
        *estimate.findings,
        *check(job, basis),
        *over_budget(job, estimate, basis.firm.currency),
        *papers(basis.firm),
        *tax_points(job, basis, estimate),
        *pay_points(basis.firm),
        *price_points(estimate, basis.firm.currency),
        *without_quote(job, basis, estimate),
    )
    return in_order(dict.fromkeys(found))


def _rules_missing(yard: Yard) -> Iterator[Finding]:
    missing = sorted((CHECKS.keys() | VALUES) - yard.basis.rules.keys())
    if missing and yard.placed:
        yield Finding(
            rule="rules-missing",
            severity=Severity.NOT_CHECKED,
            where="rules",
            what=f"{len(missing)} of {len(CHECKS) + len(VALUES)} rules are not in the library and were not checked.",
            measured=", ".join(missing),
            remedy="Bring the rules back into the library.",
        )
