"""A rule of the basis put into words: its limit with the unit, its source, and findings that name both."""

from collections.abc import Callable, Iterable

from app.domain.basis import Rule
from app.domain.checks.yard import Yard
from app.domain.findings import Finding, Severity, Stop
from app.domain.units import (
    System,
    format_length,
    format_month,
    format_number,
    format_share,
    format_slope,
)

NEAR = 1e-9  # what lies this near a limit is at it
Check = Callable[[Yard, Rule], Iterable[Finding]]


def severity_of(rule: Rule) -> Severity:
    """How loud a rule speaks; a word that is none of ours counts as a warning."""
    return Severity(rule.severity) if rule.severity in set(Severity) else Severity.WARN


def source_of(rule: Rule) -> str:
    """Where a rule comes from, with the firm's reason where it changed the value."""
    parts = [rule.source, rule.edition, f"The firm's own value: {rule.reason}" if rule.reason else ""]
    return "; ".join(part for part in parts if part)


def in_feet(rule: Rule) -> float:
    """A rule's length [ft]."""
    return rule.value / 12 if rule.unit == "in" else rule.value


def limit_of(rule: Rule, system: System, words: str) -> str:
    """A rule's value with its unit: `at least 1/4 in per ft (2%)`."""
    return f"{words} {value_of(rule, system)}".strip()


def is_share(rule: Rule) -> bool:
    """Whether a rule's value is a share of something."""
    return rule.unit.startswith(("share of ", "of the "))


def value_of(rule: Rule, system: System) -> str:
    """A rule's value with its unit, as a person says it.

    >>> value_of(Rule(id="r", title="Deposit", value=1 / 3, unit="share of the contract sum"), "feet")
    '33.3% of the contract sum'
    >>> value_of(Rule(id="r", title="Sod from", value=4.5, unit="month (4.5 = mid-April)"), "feet")
    'mid-April'
    """
    if rule.unit in {"ft", "in"}:
        return format_length(in_feet(rule), system)
    if rule.unit == "rise over run":
        return format_slope(rule.value, system)
    if is_share(rule):
        return f"{format_share(rule.value)} {rule.unit.removeprefix('share ')}"
    if rule.unit.startswith("month"):
        return format_month(rule.value)
    return f"{format_number(rule.value)} {rule.unit}".strip()


def broken(rule: Rule, where: str, what: str, *, measured: str = "", limit: str = "", remedy: str = "") -> Finding:
    """A rule that is not kept. One that stops is a matter of law or safety: there is no way round it."""
    severity = severity_of(rule)
    return Finding(
        rule=rule.id,
        severity=severity,
        where=where,
        what=what,
        measured=measured,
        limit=limit,
        source=source_of(rule),
        remedy=remedy,
        stop=Stop.LAW if severity is Severity.STOP else Stop.NONE,
    )


def quiet(rule: Rule, where: str, what: str, *, measured: str = "", remedy: str = "") -> Finding:
    """What a rule wants known although nothing is wrong."""
    return Finding(
        rule=rule.id,
        severity=Severity.NOTE,
        where=where,
        what=what,
        measured=measured,
        source=source_of(rule),
        remedy=remedy,
    )


def not_checked(rule: Rule, where: str, what: str, *, missing: str, remedy: str) -> Finding:
    """A rule that could not be checked: `missing` names the inputs it lacks."""
    return Finding(
        rule=rule.id,
        severity=Severity.NOT_CHECKED,
        where=where,
        what=what,
        measured=missing,
        source=source_of(rule),
        remedy=remedy,
    )
