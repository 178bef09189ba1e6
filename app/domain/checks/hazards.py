"""Checks of digging, dust, old paint and what belongs to a licensed trade."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, limit_of, not_checked, quiet
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import EXISTING_KINDS, PRIVATE_LINES, Answer, Fate, RunKind, Stage, known_lines
from app.domain.units import format_day

LOCATOR = "locator"  # word in the trade of the work that locates lines
PAINTED = frozenset({"deck", "fence", "structure", "other"})  # kinds of existing things that may carry old paint
AFTER_SIGNING = frozenset({Stage.SIGNED, Stage.BUILDING})
# caution → what the trade works on, and the word its trade is known by
TRADES: Mapping[str, tuple[str, str]] = {
    "gas": ("gas", "gas fitter"),
    "electricity": ("line voltage", "electrician"),
    "potable": ("drinking water", "plumber"),
}
TRADE_RUNS: Mapping[RunKind, str] = {RunKind.GAS: "gas", RunKind.CONDUIT: "electricity"}


def call_before_you_dig(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Digging waits for the marks: a reminder until the job is signed, then a stop for the crew."""
    digging = yard.digs()
    if not digging:
        return
    number, last = yard.job.site.ticket.strip(), yard.job.site.ticket_until
    if number and last is not None:
        what = f"Locate ticket {number} holds until {format_day(last)}. After that day nothing is dug."
        remedy = "Dig by hand beside the marks; public ones end at the meter. Renew the ticket before its last day."
        yield quiet(rule, "job", what, measured=f"{number} until {format_day(last)}", remedy=remedy)
        return
    places = places_named(digging)
    what = f"Call 811 before any digging ({places}). Public marks end at the meter."
    remedy = "Call, wait for the marks, and type the ticket's number and last day on the Site sheet."
    found = broken(rule, "job", what, limit=limit_of(rule, yard.basis.firm.system, "at least"), remedy=remedy)
    signed = yard.job.head.stage in AFTER_SIGNING
    # it stops digging, not signing: a ticket drawn weeks ahead would have lapsed
    yield replace(found, severity=found.severity if signed else Severity.NOTE, stop=Stop.NONE)


def places_named(works: tuple[Placed, ...]) -> str:
    """Places of some works, the first three by name: for a sentence."""
    names = list(dict.fromkeys(one.place for one in works))
    apart = "; " if any("," in one for one in names[:3]) else ", "
    return apart.join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def private_lines(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Private lines that nobody asked about, where something is dug, as one point; known ones want locating."""
    digging = yard.digs()
    if not digging:
        return
    answers = known_lines(yard.job.site, yard.job.existing)
    unknown = [words for key, words in PRIVATE_LINES.items() if answers[key] is Answer.UNKNOWN]
    if unknown:
        it = "one of this kind" if len(unknown) == 1 else "any of these"
        yield broken(
            rule,
            "site",
            f"Nobody knows yet whether there is {it}, and digging at {places_named(digging)} could meet it.",
            measured=f"not known: {'; '.join(unknown)}",
            limit="every line known",
            remedy="Ask the owner and answer each on the Site sheet, or have private lines located.",
        )
    present = [words for key, words in PRIVATE_LINES.items() if answers[key] is Answer.YES]
    located = any(LOCATOR in trade for one in yard.placed for trade in yard.trades(one))
    if present and not located:
        yield broken(
            rule,
            "site",
            f"There are private lines, and nobody is to locate them: {', '.join(present)}.",
            measured="; ".join(present),
            limit="located before digging",
            remedy="Add locating of private lines to the job.",
        )


def silica(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Cutting stone and concrete makes dust that scars lungs."""
    cutting = tuple(one for one in yard.placed if "silica" in yard.cautions(one))
    if cutting:
        limit = limit_of(rule, yard.basis.firm.system, "above")
        what = f"Cut wet, all the time: {places_named(cutting)}."
        yield broken(rule, "job", what, limit=limit, remedy="Water at the saw and on the crew sheet; no dry sweeping.")


def lead_paint(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Old painted parts are taken down by a certified renovator."""
    going = [one for one in yard.job.existing if one.kind in PAINTED and one.fate in {Fate.GOES, Fate.MOVES}]
    built = yard.job.site.built_year
    for thing in going:
        name = thing.title or EXISTING_KINDS.get(thing.kind, thing.kind)
        if built is None:
            yield not_checked(
                rule,
                f"existing:{thing.id}",
                f"{name}: whether its paint may hold lead cannot be told without the year the house was built.",
                missing="year built",
                remedy="Type the year on the Site sheet.",
            )
        elif built < rule.value - NEAR:
            yield broken(
                rule,
                f"existing:{thing.id}",
                f"{name}: its paint may hold lead. A certified renovator takes down painted parts.",
                measured=f"built {built}",
                limit=f"{rule.value:.0f} or later",
                remedy="Have it tested, or give the work to a certified renovator.",
            )


def licensed_trade(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Gas, line voltage and drinking water name the licensed trade that does them."""
    runs = {run.id: run for run in yard.job.runs}
    named: dict[str, list[Placed]] = {}
    for placed in yard.placed:
        for trade in yard.trades(placed):
            named.setdefault(trade, []).append(placed)
        run = runs.get(placed.work.place_id) if placed.work.place_id else None
        caution = TRADE_RUNS.get(run.kind) if run else None
        if caution and not yard.trades(placed) and caution in yard.cautions(placed):
            yield _without_trade(rule, placed, caution)
    yield from _nobody_for(yard, rule, named)
    for trade, works in sorted(named.items()):
        if trade.startswith("licensed"):
            named_works = places_named(tuple(works))
            what = f"For the {trade}: {named_works}. Our sizes are for the budget and for talking to that trade."
            remedy = "Have their price and papers before the start."
            yield quiet(rule, "job", what, measured=trade, remedy=remedy)


def _without_trade(rule: Rule, placed: Placed, caution: str) -> Finding:
    matter, word = TRADES[caution]
    return broken(
        rule,
        placed.where,
        f"{placed.place}, {placed.title}: {matter} is for a licensed {word}, and the recipe names none.",
        measured=placed.title,
        limit="a licensed trade named",
        remedy="Choose the recipe that the licensed trade builds, or name the trade in the recipe.",
    )


def _nobody_for(yard: Yard, rule: Rule, named: Mapping[str, list[Placed]]) -> Iterator[Finding]:
    """New work with such a caution while nothing in the job is done by that trade: said, not stopped."""
    for caution, (matter, word) in TRADES.items():
        if any(word in trade for trade in named):
            continue
        open_works = tuple(
            one
            for one in yard.placed
            if caution in yard.cautions(one) and not one.where.startswith("existing:") and not yard.trades(one)
        )
        if open_works:
            found = broken(
                rule,
                "job",
                f"{places_named(open_works)}: may touch {matter}, and no work of a licensed {word} is in the job.",
                measured=", ".join(sorted({one.title for one in open_works})),
                limit=f"a licensed {word} where {matter} is touched",
                remedy=f"Add the {word}'s part, or say why none is needed.",
            )
            yield replace(found, severity=Severity.WARN, stop=Stop.NONE)


CHECKS: dict[str, Check] = {
    "call-before-you-dig": call_before_you_dig,
    "private-lines": private_lines,
    "silica": silica,
    "lead-paint": lead_paint,
    "licensed-trade": licensed_trade,
}
