"""The checks of a job: rules as data, one small function a rule. What lacks an input says so; nothing passes unseen."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from app.domain.basis import Basis, Rule
from app.domain.checks import clearances, doors, hazards, levels, steps, surfaces
from app.domain.checks.buried import BURIED
from app.domain.checks.completeness import COMPLETENESS, over_budget, papers
from app.domain.checks.fitting import FITTING
from app.domain.checks.rules import Check
from app.domain.checks.subs import without_quote
from app.domain.checks.yard import NumbersAsked, Unnumbered, Yard, unnumbered
from app.domain.costing.backwards import price_points
from app.domain.costing.estimate import Estimate
from app.domain.costing.pay_rules import pay_points
from app.domain.costing.tax import tax_points
from app.domain.findings import Finding, Severity, in_order
from app.domain.job import Job, only_included
from app.domain.keeping import KeptByInputs, Same

CHECKS: Mapping[str, Check] = {
    **surfaces.CHECKS,
    **clearances.CHECKS,
    **levels.CHECKS,
    **steps.CHECKS,
    **doors.CHECKS,
    **hazards.CHECKS,
}
VALUES = frozenset({surfaces.REACH}) | steps.VALUES  # rules that only hold a value for another


@dataclass(frozen=True, slots=True)
class Said:
    """What the checks say of a yard without the numbers set on its works, and the checks that ask for those."""

    found: tuple[Finding, ...]
    asking: tuple[Callable[[Yard], Iterable[Finding]], ...]


_SAID: KeptByInputs[Said] = KeptByInputs(32)
_IN_ORDER: KeptByInputs[tuple[Finding, ...]] = KeptByInputs(64)


def checked() -> int:
    """How many yards were checked since the start for all that asks for no number, and not found kept."""
    return _SAID.made


def check(job: Job, basis: Basis) -> tuple[Finding, ...]:
    """Every finding of the rules of a basis about a job, and what is still open, the loudest first.

    What rests on no number of a work is kept while only numbers are edited.
    """
    job = only_included(job)
    yard = unnumbered(job, basis)
    said = _SAID.get_or_make(job.head.id, (Same(yard),), lambda: _said(yard))
    numbered = yard.numbered(job)
    found = (*said.found, *(finding for one in said.asking for finding in one(numbered)))
    return _IN_ORDER.get_or_make(("checks", job.head.id), found, lambda: in_order(dict.fromkeys(found)))


def _said(yard: Unnumbered) -> Said:
    rules = yard.basis.rules
    by_rule = [_of_rule(one, rules[key]) for key, one in CHECKS.items() if key in rules]
    found: list[Finding] = []
    asking: list[Callable[[Yard], Iterable[Finding]]] = []
    for one in (*by_rule, *COMPLETENESS, *FITTING, *BURIED, _rules_missing):
        try:
            found += list(one(yard))
        except NumbersAsked:
            asking.append(one)
    return Said(tuple(found), tuple(asking))


def _of_rule(one: Check, rule: Rule) -> Callable[[Yard], Iterable[Finding]]:
    return lambda yard: one(yard, rule)


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
    return _IN_ORDER.get_or_make(("points", job.head.id), found, lambda: in_order(dict.fromkeys(found)))


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
