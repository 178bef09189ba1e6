"""What the tape, the rod and the typed levels say against one another: tapes that disagree, loops that do not close."""

from collections.abc import Iterator

from app.domain.checks.yard import Yard
from app.domain.findings import Finding, Severity
from app.domain.job import Alternative, Edge
from app.domain.plan.leveling_words import LevelingWords
from app.domain.plan.levels import Drop, drop_along
from app.domain.takeoff.ground import leveling_of, mark_names, survey_of, taping_words
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length

AGREE = 1 / 24  # ft: levels and a typed drop that differ by half an inch or less agree (common practice, no source)


def tapes_disagree(yard: Yard) -> Iterator[Finding]:
    """Tapes that do not fit the others."""
    if not yard.job.marks:
        return
    words = taping_words(yard.job, yard.basis.firm.system)
    for bad in survey_of(yard.job).bad:
        yield Finding(
            rule="tapes-disagree",
            severity=Severity.WARN,
            where=f"mark:{bad.tape.mark}",
            what=words.bad(bad),
            measured=f"{bad.tape.mark} {bad.tape.place} {bad.tape.length:g}",
            limit="the others",
            remedy="Pull that tape again, correct its length, or leave it out.",
        )


def marks_without_place(yard: Yard) -> Iterator[Finding]:
    """Marks that were taped and still have no place."""
    words = taping_words(yard.job, yard.basis.firm.system)
    for mark in yard.job.marks:
        why = survey_of(yard.job).unplaced.get(str(mark.id))
        if why is not None and mark.tapes:
            yield Finding(
                rule="mark-without-place",
                severity=Severity.WARN,
                where=f"mark:{mark.id}",
                what=words.unplaced(str(mark.id), why),
                measured=f"{why.why.value} {len(mark.tapes)}",
                limit="a place",
                remedy="Add a tape, say the side, or type where it lies.",
            )


def levels_do_not_close(yard: Yard) -> Iterator[Finding]:
    """A loop of rod readings that does not close."""
    found = leveling_of(yard.job)
    if found.closes:
        return
    setups = {str(one.id): one.title or f"Setup {number}" for number, one in enumerate(yard.job.level_setups, 1)}
    words = LevelingWords(found, mark_names(yard.job), setups, yard.basis.firm.system)
    yield Finding(
        rule="levels-do-not-close",
        severity=Severity.WARN,
        where=f"mark:{found.worst}",
        what=words.open_loop(),
        measured=format_length(found.closure or 0.0, yard.basis.firm.system, sixteenths=True),
        limit=format_length(found.limit, yard.basis.firm.system, sixteenths=True),
        remedy="Read the rod again on that mark from both setups.",
    )


def levels_contradict(yard: Yard) -> Iterator[Finding]:
    """A typed drop that the finish levels of both zones do not give."""
    system = yard.basis.firm.system
    for edge in yard.job.edges:
        own, other = yard.chosen.get(edge.zone_id), _across(yard, edge)
        if edge.drop is None or own is None or other is None:
            continue
        found = _drop(yard, edge, own, other)
        if found is None or found.least - AGREE <= edge.drop <= found.most + AGREE:
            continue
        names = f"{zone_title(yard.zones[edge.zone_id])} and {yard.neighbor(edge.neighbor)}"
        typed = format_length(edge.drop, system)
        levels = " to ".join(dict.fromkeys(format_length(feet, system) for feet in (found.least, found.most)))
        yield Finding(
            rule="levels-contradict",
            severity=Severity.WARN,
            where=f"edge:{edge.id}",
            what=f"The drop between {names} is typed as {typed}; their levels give {levels}.",
            measured=typed,
            limit=levels,
            remedy="Take the typed drop out, so that it follows from the levels, or correct the levels.",
        )


def _across(yard: Yard, edge: Edge) -> Alternative | None:
    zone = next((one for one in yard.job.zones if str(one.id) == edge.neighbor), None)
    return yard.chosen.get(zone.id) if zone else None


def _drop(yard: Yard, edge: Edge, own: Alternative, other: Alternative) -> Drop | None:
    """How far the zone of an edge lies above the other one, along all stretches that the edge decides."""
    points = [point for met in yard.around.decided_by(edge) for point in met.stretch.path]
    return drop_along(own, other, points)
