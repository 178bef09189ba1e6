"""Sales tax line by line: who pays it on what, and why. What is not said is not taxed; labor only where it is said.

A line is treated as its work says, else as its material says, else as the firm says for its class of cost, else by the
firm's mode, which speaks of materials alone. The rule is the firm's and its accountant's: states differ, also by kind
of work, and this program knows none of them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.domain.basis import Basis, CostClass, Firm
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import ROUNDING, Line
from app.domain.costing.tax_rules import CLIENTS, EXEMPT, OURS, TaxRules, tax_rules
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, PlaceKind, PriceShown
from app.domain.takeoff.trace import Trace, number_text
from app.domain.units import format_day, format_share

SOURCE = (
    "contracts at one price and contracts that state materials apart are taxed differently in some states, as by "
    "34 Texas Administrative Code 3.291 (from memory); ask your accountant"
)
SOURCE_OF_RATE = "rates differ by town and change (common practice, no source); ask the state's revenue office"
BEFORE_TAX = ("direct", "material tax", "warranty", "overhead", "contingency", "risks", "profit", "adjustment")


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxGroup:
    """Lines that are treated alike for one reason; `base_cents` is what the tax is worked out on (cost, if none)."""

    treatment: str
    why: str
    lines: tuple[int, ...]
    base_cents: int
    tax_cents: int


def tax_groups(job: Job, basis: Basis, worked: Estimate) -> tuple[TaxGroup, ...]:
    """All lines by treatment and reason, in the order of what they come to; allowances and rounding are not in it."""
    rules = tax_rules(job, basis)
    found: dict[tuple[str, str], list[int]] = {}
    for at, line in enumerate(worked.lines):
        if line.kind != ROUNDING and line.cost_class is not CostClass.ALLOWANCE and line.cents:
            found.setdefault(_treated(line, rules, basis.firm), []).append(at)
    groups = (_group(key, places, worked) for key, places in found.items())
    order = {OURS: 0, CLIENTS: 1, EXEMPT: 2}
    return tuple(sorted(groups, key=lambda one: (order[one.treatment], -one.base_cents, one.why)))


def _treated(line: Line, rules: TaxRules, firm: Firm) -> tuple[str, str]:
    treatment, why = rules.of(line.work_id, line.key if line.kind == "material" else "", line.cost_class)
    return treatment, why or f"{line.cost_class.value}: {_class_words(line.cost_class, firm)}"


def _class_words(one: CostClass, firm: Firm) -> str:
    if one.value in firm.tax_by_class:
        return "as the firm says for this class of cost"
    return "by the firm's mode" if one is CostClass.MATERIAL else "not taxed unless it is said"


def _group(key: tuple[str, str], places: Sequence[int], worked: Estimate) -> TaxGroup:
    treatment, why = key
    steps = worked.build_up.steps
    names = BEFORE_TAX if treatment == CLIENTS else ("direct",)
    taxed = {OURS: "material tax", CLIENTS: "sales tax"}.get(treatment)
    base = sum(step.shares[at] for step in steps if step.name in names for at in places)
    tax = sum(worked.build_up.step(taxed).shares[at] for at in places) if taxed else 0
    return TaxGroup(treatment=treatment, why=why, lines=tuple(places), base_cents=base, tax_cents=tax)


def explain_tax(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    """`taxed:PLACE` or `taxed:PLACE:tax`: what a group of lines comes to, or its tax. None for what is gone."""
    _, place, what = (*figure.split(":"), "", "")[:3]
    groups = tax_groups(job, basis, worked)
    if not (place.isascii() and place.isdigit() and int(place) < len(groups)):
        return None
    one, currency = groups[int(place)], basis.firm.currency
    parts = tuple(_line(worked, at, one.treatment, currency) for at in one.lines[:40])
    told = "what its lines sell for, without tax" if one.treatment == CLIENTS else "what its lines cost"
    base = Trace(label=one.why, expression=told, filled="", result=one.base_cents / 100, unit=currency, steps=parts)
    if what != "tax":
        return base
    filled = f"{rate_words(job, basis.firm)} of {number_text(one.base_cents / 100)}"
    words = "tax rate × what is taxed; the whole tax is rounded once, then shared"
    return Trace(
        label="Tax",
        expression=words,
        filled=filled,
        result=one.tax_cents / 100,
        unit=currency,
        source=rate_source(job, basis.firm),
        steps=(base,),
    )


def _line(worked: Estimate, at: int, treatment: str, currency: str) -> Trace:
    names = BEFORE_TAX if treatment == CLIENTS else ("direct",)
    cents = sum(step.shares[at] for step in worked.build_up.steps if step.name in names)
    return Trace(label=worked.lines[at].title, expression="", filled="", result=cents / 100, unit=currency)


def rate_words(job: Job, firm: Firm) -> str:
    """The rate that a job is taxed at."""
    return format_share(firm.tax_rate if job.head.tax_rate is None else job.head.tax_rate, 4)


def rate_source(job: Job, firm: Firm) -> str:
    """Where and as of which day the rate was asked, and whose it is."""
    own = job.head.tax_rate is not None
    place, on = (job.head.tax_place, job.head.tax_on) if own else (firm.tax_place, firm.tax_on)
    told = [place or "place not told", f"as of {format_day(on)}" if on else "day not told"]
    told = told if place or on else ["place and day not told yet"]
    told.append("typed on this job" if own else "firm settings")
    return ", ".join(told)


def tax_points(job: Job, basis: Basis, worked: Estimate) -> tuple[Finding, ...]:
    """Open points of sales tax: a rate nobody vouches for, a print that takes material and labor apart, no reason."""
    return (*_rate_untold(job, basis, worked), *_separated(job, basis, worked), *_without_reason(basis, worked))


def _rate_untold(job: Job, basis: Basis, worked: Estimate) -> Iterator[Finding]:
    """Lines are taxed, at a rate that nobody says where and when it was asked; or at none, and nobody says why."""
    own, firm = job.head.tax_rate is not None, basis.firm
    place, on = (job.head.tax_place, job.head.tax_on) if own else (firm.tax_place, firm.tax_on)
    if (place and on) or not _taxes_any(tax_rules(job, basis), worked.lines):
        return
    lacks = "place and day" if not place and not on else "day" if place else "place"
    verb = "are" if " and " in lacks else "is"
    nothing = not (job.head.tax_rate if own else firm.tax_rate)
    at = "nothing" if nothing else rate_words(job, firm)
    yield Finding(
        rule="tax-rate-untold",
        severity=Severity.STOP if nothing else Severity.WARN,
        where="tax" if own else "firm-tax",
        what=f"Lines of this price are taxed at {at}: {lacks} of the rate {verb} not told.",
        measured=f"{rate_words(job, firm)}, without {lacks}",
        source=SOURCE_OF_RATE,
        remedy="Ask for the rate where the yard lies, and write down the place and the day; or choose no sales tax.",
        stop=Stop.MONEY if nothing else Stop.NONE,
    )


def _taxes_any(rules: TaxRules, lines: Sequence[Line]) -> bool:
    return any(
        line.cents
        and line.kind != ROUNDING
        and line.cost_class is not CostClass.ALLOWANCE
        and rules.of(line.work_id, line.key if line.kind == "material" else "", line.cost_class)[0] != EXEMPT
        for line in lines
    )


def _separated(job: Job, basis: Basis, worked: Estimate) -> Iterator[Finding]:
    """Printed line by line, some lines are material alone while others hold labor, and tax tells them apart."""
    if job.head.price_shown is not PriceShown.LINE:
        return
    groups = tax_groups(job, basis, worked)
    taxed = {at for one in groups if one.treatment != EXEMPT for at in one.lines}
    printed = {str(work.id): work for work in job.works if work.place is not PlaceKind.JOB}
    alone: Mapping[str, set[bool]] = {key: set() for key in printed}
    for at, line in enumerate(worked.lines):
        if line.cents and line.work_id in alone:
            alone[line.work_id].add(at in taxed)
    bare = [key for key, kinds in alone.items() if kinds == {True}]
    labor = [key for key, kinds in alone.items() if False in kinds]
    if bare and labor:
        named = printed[bare[0]]
        recipe = basis.assemblies.get(named.assembly)
        title = named.title or (recipe.title if recipe else named.assembly)
        yield Finding(
            rule="tax-separated",
            severity=Severity.WARN,
            where="job",
            what=f"Line by line, the proposal states {title} as material alone, apart from lines with labor in them.",
            measured=f"{len(bare)} of {len(printed)} lines",
            source=SOURCE,
            remedy="Show the price by zone or phase, or ask what your state makes of it and settle this point.",
        )


def _without_reason(basis: Basis, worked: Estimate) -> Iterator[Finding]:
    used = {line.key for line in worked.lines if line.kind == "material"}
    for key in sorted(used):
        one = basis.materials.get(key)
        if one is not None and one.tax and not one.tax_reason:
            yield Finding(
                rule="tax-override-without-reason",
                severity=Severity.WARN,
                where=f"material:{key}",
                what=f"{one.title} is taxed in a way of its own, and no reason is given.",
                measured=one.tax,
                remedy="Say in the library why, and who told you so.",
            )
