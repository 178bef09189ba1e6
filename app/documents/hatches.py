"""Hatches of materials: a tile of marks in the material's own color, as an SVG pattern over a plain paler ground.

The ground is a fill of its own beneath the marks: printers leave seams between the tiles of a pattern that has one.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

INK = "#1d2a26"
NO_COLOR = "#d9d2bf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """A tile: its size, the lines and dots in it [px at its natural size], and how it is turned [degrees]."""

    width: float
    height: float
    lines: str = ""
    dots: tuple[tuple[float, float, float], ...] = ()
    pen: float = 0.9
    turn: int = 0


def _herringbone(unit: float) -> str:
    """Units of one by two laid at right angles, each cell's edges by its place on the diagonal of four."""

    def edges() -> Iterator[str]:
        for x in range(4):
            for y in range(4):
                left, top, right, bottom = (n * unit for n in (x, y, x + 1, y + 1))
                sides = {
                    "top": f"M{left} {top}H{right}",
                    "bottom": f"M{left} {bottom}H{right}",
                    "left": f"M{left} {top}V{bottom}",
                    "right": f"M{right} {top}V{bottom}",
                }
                open_side = ("right", "left", "top", "bottom")[(x - y) % 4]
                yield from (path for side, path in sides.items() if side != open_side)

    return "".join(dict.fromkeys(edges()))


def _scatter(size: float, *dots: tuple[float, float, float]) -> Hatch:
    return Hatch(width=size, height=size, dots=dots)


TUFT = "M5 15q-3-6 0-9M5 15q3-5 5-6M17 22q-2-5 0-8M17 22q3-3 4-6"
HATCHES: Mapping[str, Hatch] = {
    "running": Hatch(width=24, height=16, lines="M0 0H24M0 8H24M6 0V8M18 8V16"),
    "stack": Hatch(width=20, height=20, lines="M0 0H20M0 0V20"),
    "herringbone": Hatch(width=28, height=28, lines=_herringbone(7), turn=45),
    "laid": Hatch(width=28, height=28, lines=_herringbone(7), turn=45),
    "flag": Hatch(
        width=56,
        height=48,
        lines="M0 17L16 12L30 19L47 11L56 17M16 12L21 0M47 11L42 0M30 19L28 34L40 41L56 36M28 34L12 30L0 36"
        "M40 41L42 48M12 30L16 12M21 48L28 34",
    ),
    "slab": Hatch(width=72, height=72, lines="M0 0H72M0 0V72", dots=((18, 22, 0.8), (51, 13, 0.8), (38, 49, 0.8))),
    "stone": Hatch(width=42, height=30, lines="M0 0H42M0 12H26M26 0V18M26 18H42M12 12V30M12 22H26M26 18V30M0 0V12"),
    "wall": Hatch(width=7, height=7, lines="M0 0V7", pen=1.2, turn=45),
    "deck": Hatch(width=60, height=10, lines="M0 0H60M0 0V5"),
    "gravel": Hatch(
        width=30,
        height=30,
        lines="M4 6a3.4 2.6 0 1 0 6.8 0a3.4 2.6 0 1 0-6.8 0M18 4a2.6 2.6 0 1 0 5.2 0a2.6 2.6 0 1 0-5.2 0"
        "M14 15a3.6 2.8 0 1 0 7.2 0a3.6 2.8 0 1 0-7.2 0M2 20a2.6 3 0 1 0 5.2 0a2.6 3 0 1 0-5.2 0"
        "M22 24a3 2.4 0 1 0 6 0a3 2.4 0 1 0-6 0M10 26a2.4 2 0 1 0 4.8 0a2.4 2 0 1 0-4.8 0",
    ),
    "gravel-fine": _scatter(
        16, (3, 4, 1.1), (11, 2, 1.3), (7, 9, 1), (13, 12, 1.1), (2, 13, 1.2), (14, 7, 0.7), (8, 15, 0.8)
    ),
    "stipple": _scatter(18, (3, 4, 0.8), (12, 3, 0.8), (8, 11, 0.8), (15, 14, 0.8), (2, 15, 0.8)),
    "mulch": Hatch(
        width=26, height=26, lines="M2 6l6-3M12 3l5 4M20 9l4-5M4 14l5 3M13 15l6-2M21 18l3 4M3 23l6-1M13 21l4 3", pen=1.4
    ),
    "planting": Hatch(width=26, height=26, lines=TUFT, pen=1.1),
    "turf": Hatch(width=30, height=24, lines="M5 9V4M8 9V5M2 9V6M20 20V15M23 20V16M17 20V17", pen=1),
    "water": Hatch(width=32, height=18, lines="M0 5q4-4 8 0t8 0t8 0t8 0M-8 14q4-4 8 0t8 0t8 0t8 0t8 0"),
}


def ground_color(color: str) -> str:
    """The paler ground beneath a hatch."""
    return mixed(color or NO_COLOR, "#ffffff", 0.52)


def mark_color(color: str) -> str:
    """The marks of a hatch: the material's color, drawn darker where it is pale."""
    return mixed(color or NO_COLOR, INK, 0.34)


@lru_cache(maxsize=1024)
def mixed(color: str, other: str, share: float) -> str:
    """Two hex colors mixed, `share` of the other; what is no color counts as undecided paper.

    >>> mixed("#000000", "#ffffff", 0.5)
    '#808080'
    """
    try:
        ours = [int(color[i : i + 2], 16) for i in (1, 3, 5)]
    except ValueError:
        ours = [int(NO_COLOR[i : i + 2], 16) for i in (1, 3, 5)]
    theirs = [int(other[i : i + 2], 16) for i in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in zip(ours, theirs, strict=True))


def pattern_svg(hatch: str, color: str, pattern_id: str, *, size: float = 1.0, turned: float = 0.0) -> str:
    """The `<pattern>` of a hatch; empty where the hatch has no marks. `turned` [degrees clockwise]: with its ground."""
    tile = HATCHES.get(hatch)
    if tile is None:
        return ""
    ink = mark_color(color)
    dots = "".join(f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="{ink}"/>' for x, y, r in tile.dots)
    lines = f'<path d="{tile.lines}" fill="none" stroke="{ink}" stroke-width="{tile.pen:g}"/>' if tile.lines else ""
    angle = (tile.turn + turned) % 360
    turn = f"rotate({angle:g}) " if angle else ""
    return (
        f'<pattern id="{pattern_id}" width="{tile.width:g}" height="{tile.height:g}" patternUnits="userSpaceOnUse" '
        f'patternTransform="{turn}scale({size:.3g})">{lines}{dots}</pattern>'
    )


class Patterns:
    """The patterns one drawing uses, each made once, with ids of that drawing."""

    def __init__(self, prefix: str, size: float = 1.0, turned: float = 0.0) -> None:
        self.prefix, self._size, self._turned = prefix, size, turned
        self._made: dict[tuple[str, str], tuple[str, str]] = {}

    def filled(self, shape: str, hatch: str, color: str) -> str:
        """A shape (`<path d="…"`, left open) filled with ground and marks."""
        ground = f'{shape} fill="{ground_color(color)}"/>'
        return f"{ground}{self.marked(shape, hatch, color)}" if hatch in HATCHES else ground

    def marked(self, shape: str, hatch: str, color: str) -> str:
        """The same shape filled with the marks of a known hatch only."""
        key = (hatch, color)
        if key not in self._made:
            name = f"{self.prefix}-{len(self._made)}"
            self._made[key] = (name, pattern_svg(hatch, color, name, size=self._size, turned=self._turned))
        return f'{shape} fill="url(#{self._made[key][0]})"/>'

    def defs(self) -> str:
        """All of them, for the head of the drawing."""
        return f"<defs>{''.join(markup for _, markup in self._made.values())}</defs>" if self._made else ""
