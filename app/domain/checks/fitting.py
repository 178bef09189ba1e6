"""How the drawn outlines fit together: ground that two zones cover, narrow strips that nobody meant."""

from collections.abc import Callable, Iterator

from app.domain.checks.yard import Yard
from app.domain.findings import Finding, Severity
from app.domain.job import outlines_by_key
from app.domain.plan.fit import Overlap, overlaps, strips
from app.domain.takeoff.meeting import meeting_gap
from app.domain.units import System, format_area, format_length


def zones_overlap(yard: Yard) -> Iterator[Finding]:
    """Ground that two zones, or a zone and the house, cover both: it is paid for twice."""
    system = yard.basis.firm.system
    outlines = outlines_by_key(yard.job)
    for found in overlaps(outlines, house=yard.job.site.house, gap=meeting_gap(yard.job)):
        one, other = yard.neighbor(found.one), yard.neighbor(found.other)
        said = format_area(found.area, system)
        yield Finding(
            rule="zones-overlap",
            severity=Severity.WARN,
            where=f"zone:{found.one}",
            what=_overlap_words(found, one, other, system),
            measured=f"{said} in {other}",
            limit="once",
            remedy=f"Cut {one} out of {other}, or move one of them, so that this ground is counted once."
            if found.within
            else "Move or trim one of them, so that this ground is counted once.",
        )


def _overlap_words(found: Overlap, one: str, other: str, system: System) -> str:
    if found.within:
        return f"{one} lies within {other}: its ground is counted in both."
    return f"{one} and {other} cover the same ground near {_place(found.at, system)}."


def strips_between(yard: Yard) -> Iterator[Finding]:
    """Strips between two outlines that are too wide to be one edge and too narrow to be meant."""
    system = yard.basis.firm.system
    outlines = outlines_by_key(yard.job)
    for found in strips(outlines, house=yard.job.site.house, gap=meeting_gap(yard.job)):
        one, other = yard.neighbor(found.one), yard.neighbor(found.other)
        width = format_length(found.width, system)
        yield Finding(
            rule="strip-between",
            severity=Severity.NOTE,
            where=f"zone:{found.one}",
            what=f"A strip of {width} lies between {one} and {other}, near {_place(found.at, system)}: "
            "they do not meet there.",
            measured=f"{width} wide, {format_length(found.length, system)} long, to {other}",
            limit=f"within {format_length(meeting_gap(yard.job), system)}, or a foot",
            remedy="Move one of the two outlines up to the other, or leave it where the strip is meant.",
        )


def _place(at: tuple[float, float], system: System) -> str:
    return f"{_signed(at[0], system)} east, {_signed(at[1], system)} north"


def _signed(feet: float, system: System) -> str:
    return ("−" if feet < 0 else "") + format_length(abs(feet), system)


FITTING: tuple[Callable[[Yard], Iterator[Finding]], ...] = (zones_overlap, strips_between)
