"""What is there today, as it is drawn: areas, lines and trees by their fate; utilities in the public marking colors.

Source of the hues: uniform color code for marking underground lines, American Public Works Association: electric red,
gas yellow, communication orange, potable water blue, reclaimed water purple, sewer and drain green, survey pink,
proposed digging white. Each has its word beside it, so that color never carries the meaning alone.
"""

from collections.abc import Iterator, Mapping
from functools import partial

from app.documents.plan_letters import LETTERS, lettered
from app.documents.plan_lines import BLUE, GREEN, ORANGE, PURPLE, RED, YELLOW, Pen
from app.documents.plan_parts import COARSE, Sheet, diagonals
from app.documents.sheet_view import INK, PAPER, SOFT
from app.domain.job import EXISTING_KINDS, OVERHEAD, SPRINKLERS, VALVE, Existing, Fate
from app.domain.plan.arcs import Point
from app.domain.plan.open_lines import fine_points, pieces_of
from app.domain.units import System, format_length

FATES: Mapping[Fate, str] = {Fate.STAYS: "", Fate.PROTECTED: "12 4", Fate.GOES: "5 5", Fate.MOVES: "12 4 3 4"}
SAID: Mapping[Fate, str] = {
    Fate.STAYS: "stays",
    Fate.PROTECTED: "keep safe",
    Fate.GOES: "goes",
    Fate.MOVES: "moves",
}
PINK = "#c2186b"
UTILITY_PENS: Mapping[str, Pen] = {
    "electric": Pen(color=RED, dashes="14 4 3 4", word="electric"),
    "gas": Pen(color=YELLOW, width=2.6, dashes="16 5", under=((PAPER, 7), (INK, 4.6)), word="gas"),
    "communication": Pen(color=ORANGE, dashes="5 4", word="communication"),
    "water": Pen(color=BLUE, dashes="10 5", word="water"),
    "reclaimed": Pen(color=PURPLE, dashes="10 5", word="reclaimed water"),
    "sewer": Pen(color=GREEN, width=3, dashes="20 5", word="sewer"),
    "survey": Pen(color=PINK, dashes="3 5", word="survey"),
    "proposed": Pen(color="#fff", width=2.6, dashes="12 6", under=((INK, 4.6),), word="proposed digging"),
}
# How wide the crown of such a thing is [ft], where it was not measured. Common practice, no source.
SPREADS: Mapping[str, float] = {"tree": 16.0, "shrub": 4.0, "stump": 2.0}
WATERING = frozenset({SPRINKLERS, VALVE})  # at a point they have a drawing of their own
GROUND = "#efece2"
OVERHEAD_LETTERS = "OH"  # overhead; common practice, no source
POLE = 4  # px: half a cross


def standing(sheet: Sheet) -> str:
    """What stands there: stays solid, kept safe thick and broken, goes dashed and crossed out."""
    there = (thing for thing in sheet.job.existing if not thing.utility and thing.kind != OVERHEAD)
    return "".join(part for thing in there for part in _standing(sheet, thing))


def utilities(sheet: Sheet) -> str:
    """Lines in the ground as marked or told, and those overhead; where the sheet is quiet, thin."""
    below = (part for thing in sheet.job.existing if thing.utility for part in _utility(sheet, thing))
    return "".join((*below, *map(partial(_overhead, sheet), sheet.job.existing)))


def letters(sheet: Sheet) -> str:
    """The letters along lines in the ground, beside whatever stands there; none where the sheet is quiet."""
    drawn = []
    for thing in () if sheet.quiet else sheet.job.existing:
        letter = OVERHEAD_LETTERS if thing.kind == OVERHEAD else LETTERS.get(thing.utility)
        if letter and len(thing.points) > 1:
            line = [sheet.view.at(point) for point in fine_points(thing.points, thing.rises, COARSE)]
            drawn.append(lettered(sheet.taken, line, letter))
    return "".join(drawn)


def crowns(sheet: Sheet) -> str:
    """The crowns of trees that stand at a point, above the zones they shade: clear enough to see what is laid below."""
    drawn: list[str] = []
    for thing in sheet.job.existing:
        at = _at(sheet, thing)
        if at is None or thing.utility or thing.kind in WATERING:
            continue
        if thing.outline is None and len(thing.points) < 2:
            drawn += _tree(sheet, thing, at, *_looks(thing))
    return "".join(drawn)


def _looks(thing: Existing) -> tuple[str, str]:
    """How a thing's rim is drawn by its fate, and the cross over one that goes."""
    width = 2.6 if thing.fate is Fate.PROTECTED else 1.4
    dashes = f' stroke-dasharray="{FATES[thing.fate]}"' if FATES[thing.fate] else ""
    crossed = f'fill="none" stroke="{SOFT}" stroke-width="1" stroke-dasharray="5 5"'
    return f'stroke="{SOFT}" stroke-width="{width}"{dashes}', crossed


def _standing(sheet: Sheet, thing: Existing) -> Iterator[str]:
    looks, crossed = _looks(thing)
    if thing.outline is not None:
        yield f'<path d="{sheet.view.path(thing.outline)}" fill="{GROUND}" {looks}/>'
        if thing.fate is Fate.GOES and (lines := diagonals(thing.outline)):
            yield f'<path d="{"".join(sheet.view.line(line) for line in lines)}" {crossed}/>'
    elif pieces := pieces_of(thing.points, thing.rises):
        path = sheet.view.way(pieces)
        under = f'<path d="{path}" fill="none" stroke="{GROUND}" stroke-width="7"/>' if thing.kind == "wall" else ""
        yield f'{under}<path d="{path}" fill="none" {looks}/>'


def _tree(sheet: Sheet, thing: Existing, at: Point, looks: str, crossed: str) -> Iterator[str]:
    """A thing at a point: its crown to scale, its trunk; one that goes is crossed out."""
    radius = max(spread_of(thing) / 2 * sheet.view.scale, 5.0)
    x, y = at
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{GROUND}" fill-opacity=".3" {looks}/>'
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{SOFT}"/>'
    if thing.fate is Fate.GOES:
        r = radius * 0.7
        cross = f"M{x - r:.1f} {y - r:.1f}l{2 * r:.1f} {2 * r:.1f}m0 {-2 * r:.1f}l{-2 * r:.1f} {2 * r:.1f}"
        yield f'<path d="{cross}" {crossed}/>'


def spread_of(thing: Existing) -> float:
    """The width of a crown [ft]: as measured, else as such things are."""
    return thing.spread or SPREADS.get(thing.kind, 2.0)


def _utility(sheet: Sheet, thing: Existing) -> Iterator[str]:
    pen = UTILITY_PENS.get(thing.utility)
    if pen is None:
        return
    thin = 0.5 if sheet.quiet else 1.0
    pieces = pieces_of(thing.points, thing.rises)
    if pieces:
        shape = f'<path d="{sheet.view.way(pieces)}" fill="none" stroke-linejoin="round"'
        yield "".join(f'{shape} stroke="{color}" stroke-width="{width * thin:g}"/>' for color, width in pen.under)
        yield f'{shape} stroke="{pen.color}" stroke-width="{pen.width * thin:g}" stroke-dasharray="{pen.dashes}"/>'
    elif (at := _at(sheet, thing)) is not None:
        yield (
            f'<rect x="{at[0] - 5:.1f}" y="{at[1] - 5:.1f}" width="10" height="10" fill="{PAPER}" '
            f'stroke="{INK if thing.utility == "proposed" else pen.color}" stroke-width="2.4"/>'
        )


def _overhead(sheet: Sheet, thing: Existing) -> str:
    """A wire above the yard: a thin line with a cross at each pole or bend. Nothing of it lies in the ground."""
    pieces = pieces_of(thing.points, thing.rises) if thing.kind == OVERHEAD else []
    if not pieces:
        return ""
    width = 0.8 if sheet.quiet else 1.6
    looks = f'fill="none" stroke="{INK}" stroke-width="{width:g}"'
    line = f'<path d="{sheet.view.way(pieces)}" {looks} stroke-dasharray="24 4"/>'
    poles = "".join(
        f"M{x - POLE:.1f} {y - POLE:.1f}l{2 * POLE} {2 * POLE}m0 {-2 * POLE}l{-2 * POLE} {2 * POLE}"
        for x, y in map(sheet.view.at, thing.points)
    )
    return f'{line}<path d="{poles}" {looks}/>'


def _at(sheet: Sheet, thing: Existing) -> Point | None:
    return None if thing.x is None or thing.y is None else sheet.view.at((thing.x, thing.y))


def words_of(thing: Existing, system: System = "feet") -> str:
    """What is written beside a thing that is there."""
    if thing.kind == OVERHEAD:
        high = f"{format_length(thing.height, system)} up" if thing.height else "height not known"
        return f"{thing.title or EXISTING_KINDS[OVERHEAD]}, {high}"
    pen = UTILITY_PENS.get(thing.utility)
    if pen is not None:
        return pen.word
    return f"{thing.title or EXISTING_KINDS.get(thing.kind, thing.kind)}, {SAID[thing.fate]}"
