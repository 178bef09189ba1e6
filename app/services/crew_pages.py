"""A crew sheet in words and numbers, ready for the page and for paper: symbols and amounts first, no money."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from app.documents.plan_drawing import describe, plan_svg
from app.domain.basis import Basis, Firm
from app.domain.costing.crew_day import day_of
from app.domain.costing.explain_laid import part_words
from app.domain.crew import CrewAmount, CrewSheet, CrewWork, Layer, LayerKind, Size
from app.domain.job import PRIVATE_LINES, Answer, Job, Site
from app.domain.takeoff.laid import LaidWork
from app.domain.takeoff.laid import size_words as units_of_size
from app.domain.units import LENGTH, System, format_amount, format_length, format_number, format_slope
from app.interchange.crew_words import crew_words
from app.interchange.library_file import Caution
from app.interchange.order_sheets import counted

GENERAL = "general"
WAYS = {Answer.YES: "there is one", Answer.NO: "none", Answer.UNKNOWN: "NOT KNOWN: find out before digging"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkWords:
    """One work: its title and place, measures and other sizes as pairs, layers from the bottom up."""

    title: str
    where: str
    measures: tuple[tuple[str, str], ...]
    layers: tuple[tuple[str, str], ...]  # how thick, what
    sizes: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    cure_days: int
    pattern: tuple[tuple[str, str], ...] = ()  # how its units are laid, as pairs
    by_subcontractor: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewPage:
    """A crew sheet in words. `drawing` is SVG; pairs are (amount, what)."""

    sheet: CrewSheet
    title: str
    drawing: str
    drawing_words: str
    level: str
    fall: str
    works: tuple[WorkWords, ...]
    materials: tuple[tuple[str, str], ...]
    tools: tuple[tuple[str, str], ...]
    hauled: tuple[tuple[str, str], ...]
    hired: tuple[tuple[str, str], ...]
    tasks: tuple[tuple[str, str, str], ...]  # amount, what, hours
    hours: str
    crew_days: str
    steps: tuple[str, ...]
    checks: tuple[str, ...]
    photos: tuple[str, ...]
    cautions: tuple[Caution, ...]
    private_lines: tuple[tuple[str, str, bool], ...]  # what, answer, whether to watch it
    new_lines: tuple[str, ...]


def crew_page(sheet: CrewSheet, job: Job, basis: Basis, library: Path) -> CrewPage:
    """Put one crew sheet into words."""
    firm, words = basis.firm, crew_words(library)
    steps = [step for key, step in words.steps.items() if key in sheet.steps]
    return CrewPage(
        sheet=sheet,
        title=sheet.title or ("General works" if sheet.zone_id is None else "Zone without a name"),
        drawing=plan_svg(job, basis, width_px=900, highlight=sheet.zone_id, face="print"),
        drawing_words=describe(job),
        level="" if sheet.level is None else format_length(sheet.level, firm.system),
        fall=_fall(sheet, firm.system),
        works=tuple(_work(one, firm.system) for one in sheet.works),
        materials=_amounts(sheet.materials, firm.system),
        tools=_amounts(sheet.tools, firm.system),
        hauled=_amounts(sheet.hauled, firm.system),
        hired=_amounts(sheet.hired, firm.system),
        tasks=tuple(
            (counted(task.amount, task.unit, firm.system), task.title, format_number(task.hours, 1))
            for task in sheet.tasks
        ),
        hours=format_number(sheet.hours, 1),
        crew_days=_days(sheet.hours, firm, job.site),
        steps=tuple(step.title for step in steps),
        checks=tuple(step.check for step in steps if step.check),
        photos=tuple(step.photo for step in steps if step.photo),
        cautions=tuple(words.cautions[key] for key in sheet.cautions if key in words.cautions),
        private_lines=tuple(
            (PRIVATE_LINES[name], WAYS[answer], answer is not Answer.NO) for name, answer in sheet.private_lines
        ),
        new_lines=tuple(_line(one.kind, one.title, one.length, firm.system) for one in sheet.new_lines),
    )


def size_words(size: Size, system: System) -> str:
    """A size as the crew tapes it."""
    if size.dimension == LENGTH:
        return format_length(size.value, system)
    return format_amount(size.value, size.dimension, system)


def layer_words(layer: Layer, system: System) -> tuple[str, str]:
    """How thick and what: `6"` and `Crushed stone, in 2 lifts of 3"`."""
    thick = "" if layer.thickness is None else format_length(layer.thickness, system)
    if layer.kind is LayerKind.DIG:
        return thick, "Dig, below the finished surface"
    if layer.lifts > 1 and layer.thickness is not None:
        each = format_length(layer.thickness / layer.lifts, system)
        return thick, f"{layer.title}, in {layer.lifts} lifts of {each}, each compacted"
    return thick or "—", layer.title


def _work(work: CrewWork, system: System) -> WorkWords:
    return WorkWords(
        title=work.title,
        where=work.where,
        measures=tuple((size.label, size_words(size, system)) for size in work.measures),
        layers=tuple(layer_words(layer, system) for layer in work.layers),
        sizes=tuple((size.label, size_words(size, system)) for size in work.sizes),
        words=work.words,
        cure_days=work.cure_days,
        pattern=tuple(pattern_words(work.laid, system)) if work.laid else (),
        by_subcontractor=work.by_subcontractor,
    )


def pattern_words(found: LaidWork, system: System) -> Iterator[tuple[str, str]]:
    """How units are laid, in the order the crew needs it: start line, border, field, cuts."""
    laid = found.laid
    if laid is None:
        return
    x, y = (format_length(abs(one), system) for one in laid.start.point)
    sides = ("right" if laid.start.point[0] >= 0 else "left", "up" if laid.start.point[1] >= 0 else "down")
    yield "Joints meet at", f"{x} {sides[0]}, {y} {sides[1]} from the datum"
    yield "Courses along", f"{format_number(laid.start.angle % 180, 1)}° from the sheet's right; {laid.start.reason}"
    if laid.unit.joint:
        yield "Joint", format_length(laid.unit.joint, system)
    for place, part in reversed(tuple(enumerate(laid.parts))):
        whole, opened = sum(part.whole), sum(part.opened)
        counts = f"{format_number(whole)} whole, {format_number(opened - whole)} cut; {found.materials[place].title}"
        mix = ", ".join(units_of_size(*one) for one in part.by_size) if len(part.by_size) > 1 else ""
        more = (
            f"; corners {_CORNERS[laid.laying.corners]}{_where(found, system)}" if place else f": {mix}" if mix else ""
        )
        yield part_words(laid, place), counts + more
    cuts, length = sum(part.cuts for part in laid.parts), sum(part.cut_length for part in laid.parts)
    yield "Saw cuts", f"{format_number(cuts)}, {format_length(length, system)} in all; wet, or with dust drawn off"


def _where(found: LaidWork, system: System) -> str:
    """Along how much of the edge a border runs that does not go all around, and how it ends."""
    laying = found.laid.laying if found.laid else None
    if laying is None or not laying.along:
        return ""
    length = format_length(found.border_length / len(laying.borders), system)
    ends = "mitered" if laying.ends == "miter" else "run through to the edge"
    return f"; along {length} of the edge only, as drawn; its ends {ends}, square at an inward corner"


_CORNERS = {"miter": "mitered", "butt": "butted"}


def _amounts(amounts: Iterable[CrewAmount], system: System) -> tuple[tuple[str, str], ...]:
    return tuple((counted(one.amount, one.unit, system), _kept(one, system)) for one in amounts)


def _kept(one: CrewAmount, system: System) -> str:
    return f"{one.title} (leave {counted(one.kept, one.unit, system)} with the client)" if one.kept else one.title


def _fall(sheet: CrewSheet, system: System) -> str:
    if not sheet.fall:
        return ""
    slope = format_slope(sheet.fall, system)
    return f"{slope} toward {sheet.fall_toward}" if sheet.fall_toward else slope


def _days(hours: float, firm: Firm, site: Site) -> str:
    day = day_of(firm, {}, site.drive_minutes)
    a_day = day.worked * day.people
    return format_number(hours / a_day, 1) if a_day else ""


def _line(kind: str, title: str, length: float | None, system: System) -> str:
    named = title or kind.capitalize()
    return f"{named}, {format_length(length, system)}" if length else named
