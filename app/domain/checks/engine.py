"""The checks of a job: rules as data, one small function a rule. What lacks an input says so; nothing passes unseen."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from app.domain.basis import Basis, Rule
from app.domain.checks import (
    bottles,
    brought,
    clearances,
    cooking,
    digging,
    doors,
    ends,
    flights,
    gates,
    hazards,
    levels,
    lifting,
    lights,
    lot,
    low_ground,
    on_edges,
    openable,
    overhead,
    passages,
    plants,
    power,
    ramps,
    setbacks,
    sitting,
    sprinkler_heads,
    sprinkler_valves,
    steps,
    surfaces,
    uses,
)
from app.domain.checks.buried import BURIED
from app.domain.checks.completeness import COMPLETENESS, over_budget, papers
from app.domain.checks.fitting import FITTING
from app.domain.checks.rules import Check
from app.domain.checks.subs import without_quote
from app.domain.checks.yard import Asked, Unnumbered, Yard, unnumbered
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
    **plants.CHECKS,
    **passages.CHECKS,
    **cooking.CHECKS,
    **sitting.CHECKS,
    **lights.CHECKS,
    **sprinkler_heads.CHECKS,
    **sprinkler_valves.CHECKS,
    **overhead.CHECKS,
    **low_ground.CHECKS,
    **uses.CHECKS,
    **openable.CHECKS,
    **ends.CHECKS,
    **power.CHECKS,
    **flights.CHECKS,
    **ramps.CHECKS,
    **digging.CHECKS,
    **lifting.CHECKS,
    **lot.CHECKS,
    **setbacks.CHECKS,
    **gates.CHECKS,
    **bottles.CHECKS,
    **brought.CHECKS,
}
# rules that only hold a value for another
VALUES = (
    frozenset({surfaces.REACH})
    | clearances.VALUES
    | power.VALUES
    | steps.VALUES
    | plants.VALUES
    | cooking.VALUES
    | sitting.VALUES
    | lights.VALUES
    | sprinkler_valves.VALUES
    | overhead.VALUES
    | levels.VALUES
    | flights.VALUES
    | ramps.VALUES
    | digging.VALUES
    | lifting.VALUES
    | on_edges.VALUES
    | bottles.VALUES
)


Of = Callable[[Yard], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Said:
    """What checks say of a yard that does not know everything, and those that asked for what it does not know."""

    found: tuple[Finding, ...]
    asking: tuple[Of, ...]


_SAID: KeptByInputs[Said] = KeptByInputs(32)
_SAID_UNDRAWN: KeptByInputs[Said] = KeptByInputs(32)
_IN_ORDER: KeptByInputs[tuple[Finding, ...]] = KeptByInputs(64)


def checked() -> int:
    """How many yards were checked since the start for all that asks for no number, and not found kept."""
    return _SAID.made


def check(job: Job, basis: Basis) -> tuple[Finding, ...]:
    """Every finding of the rules of a basis about a job, and what is still open, the loudest first.

    What rests on no number of a work is kept while numbers are edited, what rests on no outline while outlines are.
    """
    job = only_included(job)
    yard = unnumbered(job, basis)
    said = _SAID.get_or_make(job.head.id, (Same(yard),), lambda: _said(yard))
    numbered = yard.numbered(job)
    found = (*said.found, *(finding for one in said.asking for finding in one(numbered)))
    return _IN_ORDER.get_or_make(("checks", job.head.id), found, lambda: in_order(dict.fromkeys(found)))


def _said(yard: Unnumbered) -> Said:
    undrawn = yard.undrawn
    kept = _SAID_UNDRAWN.get_or_make(yard.job.head.id, (Same(undrawn),), lambda: _of_all(undrawn, _checks(yard.basis)))
    more = _of_all(yard, kept.asking)
    return Said((*kept.found, *more.found), more.asking)


def _checks(basis: Basis) -> tuple[Of, ...]:
    by_rule = [_of_rule(one, basis.rules[key]) for key, one in CHECKS.items() if key in basis.rules]
    return (*by_rule, *COMPLETENESS, *FITTING, *BURIED, _rules_missing)


def _of_all(yard: Unnumbered, checks: Iterable[Of]) -> Said:
    found: list[Finding] = []
    asking: list[Of] = []
    for one in checks:
        try:
            found += list(one(yard))
        except Asked:
            asking.append(one)
    return Said(tuple(found), tuple(asking))


def _of_rule(one: Check, rule: Rule) -> Of:
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
