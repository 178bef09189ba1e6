"""How what stands at a point is drawn: to its length, thickness or area, along the nearest side of its zone."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, cos, degrees, radians, sin

from app.documents.hatches import ground_color, mark_color
from app.documents.plan_parts import Sheet, outline_of
from app.documents.sheet_view import INK, PAPER
from app.domain.job import Feature, PlaceKind
from app.domain.plan.arcs import Line
from app.domain.plan.outline import segments
from app.domain.plan.walls import from_wall

# About how long and wide a thing of that name is [ft], where it was not typed. Common practice, no source.
NATURAL: tuple[tuple[str, float, float], ...] = (
    ("tree", 8, 8),
    ("shrub", 3, 3),
    ("fire", 4, 4),
    ("light", 0.8, 0.8),
    ("outlet", 0.5, 0.5),
    ("transformer", 0.8, 0.8),
    ("sprinkler", 0.6, 0.6),
    ("grill", 3, 2),
    ("counter", 6, 2.5),
    ("table", 6, 3.3),
    ("column", 2, 2),
    ("structure", 10, 10),
)
SMALL = ("light", "spot", "outlet", "transformer", "sprinkler")  # drawn as a small circle
SEAT = 2.0  # ft: of a table's side, for one chair. Common practice, no source.
LEAST, MOST = 5.0, 90.0  # px: half a side, so that a small thing is seen and a typing slip covers no plan
LINE = f'stroke="{INK}" stroke-width="1.8"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Symbol:
    """A feature's drawing, and half its width and height on the sheet [px]."""

    svg: str
    across: float
    up: float


def feature_symbol(sheet: Sheet, feature: Feature, at: tuple[float, float]) -> Symbol:
    """A feature's symbol at a point of the sheet [px]."""
    job = sheet.job
    work = next((w for w in job.works if w.place == PlaceKind.FEATURE and w.place_id == feature.id), None)
    assembly = sheet.basis.assemblies.get(work.assembly) if work else None
    words = f"{assembly.key if assembly else ''} {feature.title}".lower()
    long, wide = (min(max(feet * sheet.view.scale / 2, LEAST), MOST) for feet in size_of(feature, words))
    turn = _turn(sheet, feature) if long != wide else 0.0
    drawn = "".join(_drawn(words, long, wide, assembly.drawing.color if assembly else "", sheet.view.scale))
    rotated = f" rotate({turn:.1f})" if turn else ""
    c, s = abs(cos(radians(turn))), abs(sin(radians(turn)))
    return Symbol(
        svg=f'<g transform="translate({at[0]:.1f} {at[1]:.1f}){rotated}">{drawn}</g>',
        across=long * c + wide * s,
        up=long * s + wide * c,
    )


def size_of(feature: Feature, words: str) -> tuple[float, float]:
    """Length and width of a feature on the ground [ft]: as typed, else from its area, else as such things are."""
    name = next((one for one in NATURAL if one[0] in words), ("", 2.0, 2.0))
    if feature.length:
        share = name[2] if name[0] else feature.length
        width = feature.thickness or (feature.area / feature.length if feature.area else min(share, feature.length))
        return feature.length, width
    if feature.area:
        long = (feature.area * name[1] / name[2]) ** 0.5
        return long, feature.area / long
    return name[1], name[2]


def _turn(sheet: Sheet, feature: Feature) -> float:
    """How far a thing that stands along an edge is turned on the sheet [degrees clockwise]."""
    zone = next((one for one in sheet.job.zones if one.id == feature.zone_id), None)
    outline = outline_of(sheet.job, zone) if zone else None
    if outline is None or feature.x is None or feature.y is None:
        return 0.0
    place = feature.x, feature.y
    sides = [piece for piece in segments(outline) if isinstance(piece, Line)]
    if not sides:
        return 0.0
    side = min(sides, key=lambda one: from_wall(place, one))
    return -degrees(atan2(side.end[1] - side.start[1], side.end[0] - side.start[0])) % 180


def _drawn(words: str, long: float, wide: float, color: str, scale: float) -> Iterator[str]:
    fill = f'fill="{ground_color(color)}"'
    box = f'<rect x="{-long:.1f}" y="{-wide:.1f}" width="{2 * long:.1f}" height="{2 * wide:.1f}"'
    if any(word in words for word in SMALL):
        yield f'<circle r="{LEAST:g}" fill="{PAPER}" {LINE}/><circle r="1.6" fill="{INK}"/>'
    elif "tree" in words or "shrub" in words:
        rim = f'stroke="{mark_color(color)}" stroke-width="2" stroke-dasharray="9 3"'
        yield f'<circle r="{long:.1f}" {fill} fill-opacity=".75" {rim}/><circle r="2.6" fill="{INK}"/>'
    elif "fire" in words and long == wide:
        yield f'<circle r="{long:.1f}" {fill} {LINE}/><circle r="{long * 0.55:.1f}" fill="{PAPER}" {LINE}/>'
    elif "basin" in words or "water" in words:
        yield f'<circle r="{long:.1f}" {fill} {LINE}/><circle r="{long * 0.4:.1f}" fill="none" {LINE}/>'
    elif "boulder" in words:
        yield f'<path d="{_stone(long, wide)}" {fill} {LINE} stroke-linejoin="round"/>'
    elif "table" in words:
        yield from _table("round" in words, long, wide, scale)
    elif "structure" in words or "column" in words:
        cross = f"M{-long:.1f} {-wide:.1f}L{long:.1f} {wide:.1f}M{long:.1f} {-wide:.1f}L{-long:.1f} {wide:.1f}"
        yield f'{box} {fill} fill-opacity=".5" {LINE}/><path d="{cross}" stroke="{INK}" stroke-width="1"/>'
    else:
        yield f"{box} {fill} {LINE}/>"


def _stone(long: float, wide: float) -> str:
    """A boulder: a rough six-sided shape."""
    corners = ((-1, 0.2), (-0.5, -0.8), (0.4, -0.9), (1, -0.1), (0.6, 0.8), (-0.4, 0.9))
    return "M" + "L".join(f"{x * long:.1f} {y * wide:.1f}" for x, y in corners) + "Z"


def _table(round_one: bool, long: float, wide: float, scale: float) -> Iterator[str]:
    """A table with its chairs hinted: round ones around it, else along its two long sides."""
    looks = f'fill="{PAPER}" stroke="{INK}"'
    chair = 0.65 * scale
    if round_one:
        for step in range(6):
            x, y = (long + chair / 2) * cos(radians(60 * step)), (long + chair / 2) * sin(radians(60 * step))
            yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{chair:.1f}" {looks} stroke-width="1"/>'
        yield f'<circle r="{long:.1f}" {looks} stroke-width="1.8"/>'
        return
    seats = max(1, int(2 * long / (SEAT * scale)))
    for place in range(seats):
        x = -long + (place + 0.5) * 2 * long / seats - chair
        for y in (-wide - chair, wide - chair):
            shape = f'<rect x="{x:.1f}" y="{y:.1f}" width="{2 * chair:.1f}" height="{2 * chair:.1f}" rx="2"'
            yield f'{shape} {looks} stroke-width="1"/>'
    yield (
        f'<rect x="{-long:.1f}" y="{-wide:.1f}" width="{2 * long:.1f}" height="{2 * wide:.1f}" rx="1.5" {looks} '
        'stroke-width="1.8"/>'
    )
