"""A crew sheet in words and numbers, ready for the page and for paper: symbols and amounts first, no money."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from app.documents.plan_drawing import describe, plan_svg
from app.documents.tongues import ENGLISH, Tongue
from app.domain.basis import TRADES, Basis, Firm
from app.domain.costing.crew_day import day_of
from app.domain.costing.explain_laid import part_words
from app.domain.crew import CrewAmount, CrewSheet, CrewWork, GroundLine, HeavyPiece, Layer, LayerKind, Size, Trade
from app.domain.job import PRIVATE_LINES, Answer, Job, Site
from app.domain.plan.laying import Laid
from app.domain.plan.laying.pattern import BORDERS, PATTERNS
from app.domain.takeoff.laid import LaidWork
from app.domain.takeoff.laid import size_words as units_of_size
from app.domain.units import LENGTH, WEIGHT, System, format_amount, format_length, format_number
from app.interchange.crew_words import Step, crew_words
from app.interchange.library_file import Caution
from app.interchange.order_sheets import counted
from app.services.crew_drip import drip_words
from app.services.crew_heads import valve_words
from app.services.crew_lines import line_words

GENERAL = "general"
WHOLE_YARD, ONE_PLACE = 900, 560  # px: how wide a plan is drawn
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
    drip: tuple[tuple[str, str], ...] = ()  # how its drip line lies, as pairs
    line: tuple[tuple[str, str], ...] = ()  # what it is as a line in the ground, as pairs
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
    cautions: tuple[tuple[Caution, str, str], ...]  # with title and words in the language
    private_lines: tuple[tuple[str, str, bool], ...]  # what, answer, whether to watch it
    new_lines: tuple[str, ...]
    at_hand: tuple[str, ...] = ()
    heavy: tuple[tuple[str, str, str], ...] = ()  # about what it weighs, what, who lifts it
    trades: tuple[tuple[str, str, str], ...] = ()  # whose, what, and the step of ours that waits for it
    valves: tuple[tuple[str, str], ...] = ()  # of the sprinklers, and what is done to each head


def crew_page(sheet: CrewSheet, job: Job, basis: Basis, library: Path, say: Tongue = ENGLISH) -> CrewPage:
    """Put one crew sheet into words of a language."""
    firm, words = basis.firm, crew_words(library)
    steps = [words.steps[key] for key in _in_order(sheet, words.steps)]
    return CrewPage(
        sheet=sheet,
        title=sheet.title or say("General works" if sheet.zone_id is None else "Zone without a name"),
        drawing=plan_svg(job, basis, width_px=_width(sheet), highlight=sheet.zone_id, face="crew"),
        drawing_words=describe(job) if say is ENGLISH else say(DRAWN),
        level="" if sheet.level is None else format_length(sheet.level, firm.system),
        fall=_fall(sheet, firm.system, say),
        works=tuple(_work(one, firm.system, say) for one in sheet.works),
        materials=_amounts(sheet.materials, firm.system, say),
        tools=_amounts(sheet.tools, firm.system, say),
        hauled=_amounts(sheet.hauled, firm.system, say),
        hired=_amounts(sheet.hired, firm.system, say),
        tasks=tuple(
            (
                say.amount(counted(task.amount, task.unit, firm.system)),
                say(task.title),
                format_number(task.hours, 1),
            )
            for task in sheet.tasks
        ),
        hours=format_number(sheet.hours, 1),
        crew_days=_days(sheet.hours, firm, job.site),
        trades=tuple(_trade(one, words.steps, say) for one in sheet.trades),
        steps=tuple(say(step.title) for step in steps),
        checks=_said(say, (*(step.check for step in steps), *sheet.checks)),
        photos=_said(say, (*(step.photo for step in steps), *sheet.photos)),
        at_hand=_said(say, sheet.at_hand),
        heavy=tuple(heavy_words(one, firm.system, say) for one in sheet.heavy),
        cautions=tuple(
            (words.cautions[key], say(words.cautions[key].title), say(words.cautions[key].words))
            for key in sheet.cautions
            if key in words.cautions
        ),
        private_lines=tuple(
            (say(PRIVATE_LINES[name]), say(WAYS[answer]), answer is not Answer.NO)
            for name, answer in sheet.private_lines
        ),
        new_lines=tuple(_line(one, firm.system, say) for one in sheet.new_lines),
        valves=tuple(row for one in sheet.valves for row in valve_words(one, firm.system, say)),
    )


def _width(sheet: CrewSheet) -> int:
    """How wide its plan is drawn [px]: the part around one place smaller, so that its words are large on a phone."""
    return WHOLE_YARD if sheet.zone_id is None else ONE_PLACE


def _in_order(sheet: CrewSheet, known: Iterable[str]) -> list[str]:
    """The keys of its steps in the order they are done: a trade comes before the first step that waits for it."""
    order = [key for key in known if key in sheet.steps]
    waiting = [at for at, key in enumerate(order) if key in {one.before for one in sheet.trades}]
    if TRADES in order and waiting and waiting[0] < order.index(TRADES):
        order.remove(TRADES)
        order.insert(waiting[0], TRADES)
    return order


def _trade(one: Trade, steps: Mapping[str, Step], say: Tongue) -> tuple[str, str, str]:
    return say(one.trade), say(one.what), say(steps[one.before].title) if one.before in steps else ""


def _said(say: Tongue, words: Iterable[str]) -> tuple[str, ...]:
    """What is not empty, each once, in a language."""
    return tuple(say(one) for one in dict.fromkeys(words) if one)


def heavy_words(one: HeavyPiece, system: System, say: Tongue) -> tuple[str, str, str]:
    """About what a piece weighs, what it is, and who lifts it."""
    weight = format_amount(one.pounds, WEIGHT, system) if system == "metric" else f"{format_number(one.pounds)} lb"
    if one.per_foot:
        return f"{weight}/{say('ft')}", say(one.title), say("two people or a machine, by its length")
    return weight, say(one.title), say(LIFTED_BY[one.people])


LIFTED_BY = {1: "one person", 2: "two people", 0: "machine, clamp or hoist"}
REASONS = ("lined up with the longest edge, %(x)s", "equal cuts, none under %(x)s%% of a unit at the ends")
DRAWN = "The plan, with the place of this sheet marked."


def size_words(size: Size, system: System) -> str:
    """A size as the crew tapes it."""
    if size.dimension == LENGTH:
        return format_length(size.value, system)
    return format_amount(size.value, size.dimension, system)


def layer_words(layer: Layer, system: System, say: Tongue = ENGLISH) -> tuple[str, str]:
    """How thick and what: `6"` and `Crushed stone, in 2 lifts of 3"`."""
    thick = "" if layer.thickness is None else format_length(layer.thickness, system)
    if layer.kind is LayerKind.DIG:
        return thick, say("Dig, below the finished surface")
    if layer.lifts > 1 and layer.thickness is not None:
        each = format_length(layer.thickness / layer.lifts, system)
        lifts = "%(what)s, in %(num)s lifts of %(each)s, each compacted"
        return thick, say(lifts, what=say(layer.title), num=layer.lifts, each=each)
    return thick or "—", say(layer.title)


def _work(work: CrewWork, system: System, say: Tongue) -> WorkWords:
    return WorkWords(
        title=say(work.title),
        where=work.where,
        measures=tuple((say(size.label), say.amount(size_words(size, system))) for size in work.measures),
        layers=tuple(layer_words(layer, system, say) for layer in work.layers),
        sizes=tuple((say(size.label), say.amount(size_words(size, system))) for size in work.sizes),
        words=tuple(say(line) for line in work.words),
        cure_days=work.cure_days,
        pattern=tuple(pattern_words(work.laid, system, say)) if work.laid else (),
        drip=tuple(drip_words(work.drip, system, say)) if work.drip else (),
        line=tuple(line_words(work.gas, work.power, system, say)),
        by_subcontractor=work.by_subcontractor,
    )


def pattern_words(found: LaidWork, system: System, say: Tongue = ENGLISH) -> Iterator[tuple[str, str]]:
    """How units are laid, in the order the crew needs it: start line, border, field, cuts."""
    laid = found.laid
    if laid is None:
        return
    x, y = (format_length(abs(one), system) for one in laid.start.point)
    sides = (say("right" if laid.start.point[0] >= 0 else "left"), say("up" if laid.start.point[1] >= 0 else "down"))
    from_datum = say("%(x)s %(right)s, %(y)s %(up)s from the datum", x=x, right=sides[0], y=y, up=sides[1])
    yield say("Joints meet at"), from_datum
    turned = format_number(laid.start.angle % 180, 1)
    way = say("%(angle)s° from the sheet's right; %(why)s", angle=turned, why=_reason(laid.start.reason, say))
    yield say("Courses along"), way
    if laid.unit.joint:
        yield say("Joint"), format_length(laid.unit.joint, system)
    for place, part in reversed(tuple(enumerate(laid.parts))):
        whole, opened = sum(part.whole), sum(part.opened)
        counts = say("%(whole)s whole, %(cut)s cut", whole=format_number(whole), cut=format_number(opened - whole))
        counts = f"{counts}; {say(found.materials[place].title)}"
        mix = ", ".join(units_of_size(*one) for one in part.by_size) if len(part.by_size) > 1 else ""
        corners = say(_CORNERS[laid.laying.corners])
        more = f"; {corners}{_where(found, system, say)}" if place else f": {mix}" if mix else ""
        yield _part_words(laid, place, say), counts + more
    cuts, length = sum(part.cuts for part in laid.parts), sum(part.cut_length for part in laid.parts)
    sawn = "%(num)s, %(length)s in all; wet, or with dust drawn off"
    yield say("Saw cuts"), say(sawn, num=format_number(cuts), length=format_length(length, system))


def _reason(told: str, say: Tongue) -> str:
    """Why the start line lies where it does; its parts are said one by one, with their figures."""
    said = []
    for part in told.split("; "):
        read = ((words, re.fullmatch(_with_figure(words), part)) for words in REASONS)
        found = next(((words, match[1]) for words, match in read if match), None)
        said.append(say(found[0], x=found[1]) if found else say(part))
    return "; ".join(said)


def _with_figure(words: str) -> str:
    return re.escape(words.replace("%%", "%")).replace(re.escape("%(x)s"), "(.+)")


def _part_words(laid: Laid, place: int, say: Tongue) -> str:
    """What a part is called; patterns and courses in words of the language."""
    if say is ENGLISH:
        return part_words(laid, place)
    if place == 0:
        return f"{say('Field')}, {say(PATTERNS[laid.laying.pattern]).lower()}"
    course = BORDERS[laid.laying.borders[place - 1].pattern].partition(":")[0]
    return f"{say('Border course')} {place}, {say(course).lower()}"


def _where(found: LaidWork, system: System, say: Tongue) -> str:
    """Along how much of the edge a border runs that does not go all around, and how it ends."""
    laying = found.laid.laying if found.laid else None
    if laying is None or not laying.along:
        return ""
    length = format_length(found.border_length / len(laying.borders), system)
    ends = say("mitered" if laying.ends == "miter" else "run through to the edge")
    words = "; along %(length)s of the edge only, as drawn; its ends %(ends)s, square at an inward corner"
    return say(words, length=length, ends=ends)


_CORNERS = {"miter": "corners mitered", "butt": "corners butted"}


def _amounts(amounts: Iterable[CrewAmount], system: System, say: Tongue) -> tuple[tuple[str, str], ...]:
    return tuple((say.amount(counted(one.amount, one.unit, system)), _kept(one, system, say)) for one in amounts)


def _kept(one: CrewAmount, system: System, say: Tongue) -> str:
    title = say(one.title)
    if not one.kept:
        return title
    amount = say.amount(counted(one.kept, one.unit, system))
    return say("%(what)s (leave %(amount)s with the client)", what=title, amount=amount)


def _fall(sheet: CrewSheet, system: System, say: Tongue) -> str:
    if not sheet.fall:
        return ""
    slope = say.slope(sheet.fall, system)
    return say("%(slope)s toward %(what)s", slope=slope, what=sheet.fall_toward) if sheet.fall_toward else slope


def _days(hours: float, firm: Firm, site: Site) -> str:
    day = day_of(firm, {}, site.drive_minutes)
    a_day = day.worked * day.people
    return format_number(hours / a_day, 1) if a_day else ""


def _line(one: GroundLine, system: System, say: Tongue) -> str:
    named = one.title or say(one.kind.capitalize())
    return f"{named}, {format_length(one.length, system)}" if one.length else named
