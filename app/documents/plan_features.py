"""How what stands at a point is drawn: to its length, thickness or area, along the nearest side of its zone."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, degrees, radians, sin

from app.documents.hatches import ground_color, mark_color
from app.documents.plan_parts import Sheet
from app.documents.sheet_view import INK, PAPER
from app.domain.job import Feature, PlaceKind
from app.domain.seen.sizes import size_of, stands_along

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
    turn = -degrees(stands_along(job, feature)) % 180 if long != wide else 0.0
    drawn = "".join(_drawn(words, long, wide, assembly.drawing.color if assembly else "", sheet.view.scale))
    rotated = f" rotate({turn:.1f})" if turn else ""
    c, s = abs(cos(radians(turn))), abs(sin(radians(turn)))
    return Symbol(
        svg=f'<g transform="translate({at[0]:.1f} {at[1]:.1f}){rotated}">{drawn}</g>',
        across=long * c + wide * s,
        up=long * s + wide * c,
    )


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
