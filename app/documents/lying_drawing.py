"""Swatches as they will lie, drawn: each as large as the ground it covers, against what it touches; dry or wet."""

from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise

from app.documents.hatches import HATCHES, Patterns
from app.documents.sheet_view import INK, PAPER, TEXT, plain
from app.domain.palette.seen_in import LOOKS, Look, seen
from app.domain.palette.tiles import Tile

EDGE = 10  # px around a board
CAPTION = 26  # px below it
CELLS = 8  # cells of a blend's tile, across and up
CELL = 5.0  # px
# in which order the cells of a tile are given out, so that few of a color lie far apart (Bayer's ordered dither)
_TWO = ((0, 2), (3, 1))


def _bayer(size: int) -> list[list[int]]:
    if size == 1:
        return [[0]]
    half = _bayer(size // 2)
    return [
        [4 * half[y % (size // 2)][x % (size // 2)] + _TWO[y // (size // 2)][x // (size // 2)] for x in range(size)]
        for y in range(size)
    ]


ORDER = _bayer(CELLS)


def board_svg(tiles: Sequence[Tile], look: Look, *, width_px: int = 360, name: str = "board") -> str:
    """One board: the swatches as they are seen in one light. `name` keeps its ids apart from others of the page."""
    if not tiles:
        return ""
    body, height = _board(tiles, look, width_px, name)
    title = f"As it will lie, {look.words}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width_px} {height:.0f}" width="{width_px}" '
        f'height="{height:.0f}" role="img" font-family="{TEXT}" aria-labelledby="{name}-title {name}-said">'
        f'<title id="{name}-title">{title}</title><desc id="{name}-said">{plain(_told(tiles))}</desc>{body}</svg>'
    )


def boards_svg(tiles: Sequence[Tile], *, looks: Sequence[Look] = LOOKS, width_px: int = 360, name: str = "lies") -> str:
    """Several boards in one drawing, two in a row: for a file, and for print."""
    if not tiles:
        return ""
    across = min(2, len(looks))
    drawn = [_board(tiles, look, width_px, f"{name}-{place}") for place, look in enumerate(looks)]
    height = drawn[0][1]
    parts = "".join(
        f'<g transform="translate({place % across * width_px} {place // across * height:.0f})">{body}</g>'
        for place, (body, _) in enumerate(drawn)
    )
    wide, high = across * width_px, -(-len(looks) // across) * height
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high:.0f}" width="{wide}" height="{high:.0f}" '
        f'role="img" font-family="{TEXT}" aria-labelledby="{name}-title {name}-said"><title id="{name}-title">'
        f'As it will lie</title><desc id="{name}-said">{plain(_told(tiles))}</desc>{parts}</svg>'
    )


def _told(tiles: Sequence[Tile]) -> str:
    lying = "; ".join(f"{tile.letter} {tile.title}".strip() for tile in tiles)
    return f"Each square is as large as the ground it covers and lies against what it touches: {lying}."


def _board(tiles: Sequence[Tile], look: Look, width: float, name: str) -> tuple[str, float]:
    """The marks of a board, and how high it is with its caption [px]."""
    west, south = min(one.square.x for one in tiles), min(one.square.y for one in tiles)
    east = max(one.square.x + one.square.side for one in tiles)
    north = max(one.square.y + one.square.side for one in tiles)
    scale = min((width - 2 * EDGE) / (east - west), (width - 2 * EDGE) / (north - south))
    high = (north - south) * scale + 2 * EDGE
    left = (width - (east - west) * scale) / 2
    patterns, blends = Patterns(f"{name}-h", 0.8), _Blends(name)
    parts = []
    for tile in tiles:
        x, side = left + (tile.square.x - west) * scale, tile.square.side * scale
        y = EDGE + (north - tile.square.y) * scale - side
        parts.append(_drawn(tile, look, (x, y, side), patterns, blends))
    dusk = f'<rect width="{width:g}" height="{high:.1f}" fill="{seen(PAPER, "gloss", look)}"/>'
    ground = dusk if look.dusk else ""  # by day it lies on the paper it is shown on
    caption = f'<text x="{EDGE}" y="{high + 18:.1f}" font-size="15" fill="{INK}">{look.words.capitalize()}</text>'
    return f"{patterns.defs()}{blends.defs()}{ground}{''.join(parts)}{caption}", high + CAPTION


def _drawn(tile: Tile, look: Look, at: tuple[float, float, float], patterns: Patterns, blends: "_Blends") -> str:
    x, y, side = at
    colors: dict[str, float] = {}
    for color, share in tile.colors.items():
        there = seen(color, tile.sheen, look)
        colors[there] = colors.get(there, 0.0) + share
    box = f'<rect x="{x:.2f}" y="{y:.2f}" width="{side:.2f}" height="{side:.2f}"'
    fill = next(iter(colors)) if len(colors) == 1 else f"url(#{blends.named(colors)})"
    most = max(colors, key=lambda color: (colors[color], color))
    marks = patterns.marked(box, tile.hatch, most) if tile.hatch in HATCHES and len(colors) == 1 else ""
    rim = f'{box} fill="none" stroke="{INK}" stroke-width="0.8"/>'
    return f'{box} fill="{fill}"/>{marks}{rim}{_letter(tile, x, y, side)}'


def _letter(tile: Tile, x: float, y: float, side: float) -> str:
    """Its zone's letter in the corner, where there is room for it."""
    words = tile.letter or ("House" if side > 60 else "")
    wide = 12 + 8 * len(words)
    if not words or side < wide + 2:
        return ""
    return (
        f'<rect x="{x + 3:.1f}" y="{y + 3:.1f}" width="{wide}" height="20" fill="{PAPER}" stroke="{INK}" '
        f'stroke-width="0.8"/><text x="{x + 3 + wide / 2:.1f}" y="{y + 18:.1f}" font-size="14" font-weight="600" '
        f'text-anchor="middle" fill="{INK}">{plain(words)}</text>'
    )


class _Blends:
    """The patterns of blends that one board uses: cells in the shares of its colors, spread evenly."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._made: dict[tuple[tuple[str, float], ...], tuple[str, str]] = {}

    def named(self, colors: Mapping[str, float]) -> str:
        key = tuple(colors.items())
        if key not in self._made:
            pattern_id = f"{self._name}-b{len(self._made)}"
            self._made[key] = (pattern_id, _blend(pattern_id, colors))
        return self._made[key][0]

    def defs(self) -> str:
        return f"<defs>{''.join(markup for _, markup in self._made.values())}</defs>" if self._made else ""


def _blend(pattern_id: str, colors: Mapping[str, float]) -> str:
    ends = [0, *(round(end * CELLS * CELLS) for end in accumulate(colors.values()))]
    of_cell = [color for color, (start, end) in zip(colors, pairwise(ends), strict=True) for _ in range(end - start)]
    size = CELL * CELLS
    cells = "".join(
        f'<rect x="{x * CELL:g}" y="{y * CELL:g}" width="{CELL + 0.3:g}" height="{CELL + 0.3:g}" '
        f'fill="{of_cell[ORDER[y][x]]}"/>'
        for y in range(CELLS)
        for x in range(CELLS)
    )
    return (
        f'<pattern id="{pattern_id}" width="{size:g}" height="{size:g}" patternUnits="userSpaceOnUse">{cells}</pattern>'
    )
