"""What stands beside a printed plan: the schedule of zones (letter, name, area, built as), the legend. No money."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.documents.plan_letters import LETTERS
from app.documents.plan_lines import DRIP, THROW, Pen, pen_of, pen_svg
from app.documents.plan_standing import UTILITY_PENS
from app.documents.sheet_view import INK, PAPER, RULE, SOFT, WHITE, bubble, plain, words_width
from app.domain.basis import Basis
from app.domain.job import Job, PlaceKind
from app.domain.plan import area
from app.domain.takeoff.drip_lines import drip_work
from app.domain.takeoff.plant_letters import plant_letters
from app.domain.takeoff.planted import lists_of, planted_bed
from app.domain.takeoff.sprinkled import heads_of
from app.domain.units import AREA, System, format_amount

LINE = 18  # px
SIZE = 14  # px


@dataclass(frozen=True, slots=True)
class Row:
    """A zone of the schedule; `area` [sq ft] is None while it has no outline."""

    letter: str
    title: str
    area: float | None
    built_as: tuple[str, ...]


def schedule(job: Job, basis: Basis) -> tuple[Row, ...]:
    """Every zone in the order of the plan."""
    chosen = job.chosen_by_zone()
    return tuple(
        Row(
            zone.letter,
            zone.title,
            area(way.outline) if way and way.outline else None,
            tuple(
                work.title or (basis.assemblies[work.assembly].title if work.assembly in basis.assemblies else "")
                for work in job.works
                if work.place is PlaceKind.ALTERNATIVE and way and work.place_id == way.id
            ),
        )
        for zone in job.zones
        for way in (chosen.get(zone.id),)
    )


def plant_key(job: Job, basis: Basis) -> tuple[tuple[str, str], ...]:
    """The plants of all drawn beds: the letters on the plan, how many of which in what size."""
    lists, letters = lists_of(job), plant_letters(job, basis)
    found: dict[tuple[str, str], int] = {}
    for way in job.chosen_by_zone().values():
        if way.outline is not None and way.id in lists:
            for row in planted_bed(way.id, way.outline, lists[way.id], basis).rows:
                named = letters.get(row.planting.species, ""), row.title
                found[named] = found.get(named, 0) + row.count
    return tuple((key, f"{count} {words}") for (key, words), count in sorted(found.items()))


def legend(job: Job) -> tuple[tuple[str, Pen], ...]:
    """The lines of the plan that are drawn in the public marking colors, each with its word, by name."""
    found = {pen.word: pen for pen in (pen_of(run) for run in job.runs if len(run.points) > 1) if pen.word}
    there = (thing.utility for thing in job.existing if thing.utility in UTILITY_PENS)
    dripping = any(way.outline and drip_work(job, way.id) for way in job.chosen_by_zone().values())
    laid = {f"{DRIP.word}, in beds": DRIP} if dripping else {}
    if any(head.throw_at(head.at) for head in heads_of(job)):
        laid["what a sprinkler head throws over"] = THROW
    marked = {f"{UTILITY_PENS[key].word}, there now ({LETTERS[key]})": UTILITY_PENS[key] for key in there}
    return tuple(sorted({**found, **laid, **marked}.items()))


def columns_of(
    rows: tuple[Row, ...],
    lines: tuple[tuple[str, Pen], ...],
    size: tuple[float, float],
    system: System,
    listed: tuple[tuple[str, str], ...] = (),
) -> tuple[str, ...]:
    """Schedule, legend and key of plants in as many columns of that size [px] as they take; no entry is cut in two."""
    width, height = size
    blocks = [_row(row, width, system) for row in rows]
    if lines:
        blocks += [_head("Marking colors of lines"), *[_line(word, pen) for word, pen in lines]]
    if listed:
        blocks += [_head("Plants"), *[_plant(letters, words, width) for letters, words in listed]]
    columns: list[str] = []
    drawn, y = [_head("Schedule of zones")[1]], 40.0
    for tall, svg in blocks:
        if y + tall > height - 8:
            columns.append("".join(drawn))
            drawn, y = [_head("Zones, continued")[1]], 40.0
        drawn.append(f'<g transform="translate(0 {y:.1f})">{svg}</g>')
        y += tall
    return (*columns, "".join(drawn))


Block = tuple[float, str]  # how tall it is [px], its drawing


def _head(words: str) -> Block:
    return 40.0, f'<text x="12" y="26" font-size="17" font-weight="600" fill="{INK}">{plain(words)}</text>'


def _row(row: Row, width: float, system: System) -> Block:
    lines = list(_wrapped(row, width - 58, system))
    parts = [f'<path d="M12 0H{width - 12:.1f}" stroke="{RULE}" stroke-width="1"/>']
    parts.append(bubble((26, 20), row.letter or "·", 13, thick=1.6).replace(PAPER, WHITE))
    for number, (words, bold) in enumerate(lines):
        weight, fill = (' font-weight="600"', INK) if bold else ("", SOFT)
        at = f'x="48" y="{19 + number * LINE}" font-size="{SIZE}"{weight} fill="{fill}"'
        parts.append(f"<text {at}>{plain(words)}</text>")
    return len(lines) * LINE + 12, "".join(parts)


def _plant(letters: str, words: str, width: float) -> Block:
    lines = list(_broken(words, width - 64))
    parts = [f'<text x="12" y="15" font-size="{SIZE}" font-weight="600" fill="{INK}">{plain(letters)}</text>']
    parts += [
        f'<text x="54" y="{15 + number * LINE}" font-size="{SIZE}" fill="{SOFT}">{plain(line)}</text>'
        for number, line in enumerate(lines)
    ]
    return len(lines) * LINE + 4.0, "".join(parts)


def _line(word: str, pen: Pen) -> Block:
    drawn = pen_svg(pen, "M12 10H76")
    return 24.0, f'{drawn}<text x="88" y="15" font-size="{SIZE}" fill="{INK}">{plain(word)}</text>'


def _wrapped(row: Row, room: float, system: System) -> Iterator[tuple[str, bool]]:
    for line in _broken(row.title or "Zone without a name", room):
        yield line, True
    yield (format_amount(row.area, AREA, system) if row.area is not None else "not drawn yet"), False
    for built in row.built_as:
        for line in _broken(built, room):
            yield line, False


def _broken(words: str, room: float) -> Iterator[str]:
    """Words in lines no wider than there is room."""
    line = ""
    for word in words.split():
        longer = f"{line} {word}".strip()
        if line and words_width(longer, SIZE) > room:
            yield line
            line = word
        else:
            line = longer
    yield line
