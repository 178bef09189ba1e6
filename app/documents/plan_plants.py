"""Plants on the plan: a circle each at the size it grows to, the letters of its species once a row."""

from collections.abc import Iterator, Mapping

from app.documents.plan_parts import Sheet
from app.documents.sheet_view import INK, PAPER
from app.domain.plan.arcs import Point
from app.domain.takeoff.plant_letters import plant_letters
from app.domain.takeoff.planted import PlantedRow, lists_of, planted_bed

MOST_DRAWN = 400  # plants of a row: of more the hatch of the bed tells
LEAST = 1.5  # px: half a circle that can still be seen
LETTERING = 14  # px
FILLS = {"tree": "#7d9460", "shrub": "#8aa06f", "grass": "#b7b27a", "groundcover": "#a9bb8a", "bulb": "#c9b46a"}
OTHERS = "#9db37f"


def plants(sheet: Sheet) -> str:
    """Every listed plant of the drawn zones; what lies beneath the others first."""
    if not sheet.job.plantings:
        return ""
    lists, letters = lists_of(sheet.job), plant_letters(sheet.job, sheet.basis)
    drawn: list[str] = []
    for zone, outline in sheet.drawn_zones():
        way = sheet.job.chosen(zone)
        rows = lists.get(way.id, ()) if way else ()
        if way and rows:
            bed = planted_bed(way.id, outline, rows, sheet.basis)
            drawn += _bed(sheet, bed.rows, letters)
    return "".join(drawn)


def _bed(sheet: Sheet, rows: tuple[PlantedRow, ...], letters: Mapping[str, str]) -> Iterator[str]:
    in_order = sorted(rows, key=lambda row: (not row.planting.under, row.plant.height[1] if row.plant else 0.0))
    shown = [row for row in in_order if row.points and row.plant]
    for row in shown:
        yield _circles(sheet, row)
    for row in shown:
        yield _lettered(sheet, row, letters.get(row.planting.species, ""))


def _circles(sheet: Sheet, row: PlantedRow) -> str:
    plant = row.plant
    if plant is None or row.count > MOST_DRAWN:
        return ""
    half = max(sum(plant.spread) / 4 * sheet.view.scale, LEAST)
    size = f"{half:.1f} {half:.1f} 0 1 0"
    across = f"a{size} {2 * half:.1f} 0a{size} {-2 * half:.1f} 0"
    starts = (sheet.view.at(at) for at in row.points)
    path = "".join(f"M{x - half:.1f} {y:.1f}{across}" for x, y in starts)
    fill = FILLS.get(plant.kind, OTHERS)
    return f'<path d="{path}" fill="{fill}" fill-opacity=".45" stroke="{INK}" stroke-width=".8"/>'


def _lettered(sheet: Sheet, row: PlantedRow, letters: str) -> str:
    """The letters of a row at the plant nearest to its middle, where there is room for them."""
    x, y = sheet.view.at(_middle(row.points))
    wide = LETTERING * 0.66 * len(letters) + 4
    box = (x - wide / 2, y - LETTERING / 2 - 2, x + wide / 2, y + LETTERING / 2 + 2)
    if not letters or not sheet.taken.is_free(box):
        return ""
    sheet.taken.take(box)
    where = f'x="{x:.1f}" y="{y + LETTERING * 0.36:.1f}"'
    rim = f'<text {where} stroke="{PAPER}" stroke-width="3">{letters}</text>'  # below the letters: print knows no order
    return (
        f'<g font-size="{LETTERING}" font-weight="600" text-anchor="middle" fill="{INK}">{rim}'
        f"<text {where}>{letters}</text></g>"
    )


def _middle(points: tuple[Point, ...]) -> Point:
    x, y = (sum(values) / len(points) for values in zip(*points, strict=True))
    return min(points, key=lambda at: ((at[0] - x) ** 2 + (at[1] - y) ** 2, at))
