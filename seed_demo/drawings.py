"""Pictures of the yard before, drawn here with ink and wash: drawings of an invented place, no photos of any."""

from collections.abc import Callable, Mapping, Sequence
from io import BytesIO
from itertools import pairwise
from math import cos, pi, sin

Point = tuple[float, float]
WIDE, HIGH, FINE = 1000, 750, 2  # points of the picture; how much larger it is drawn
PAPER, INK = "#FCF8F0", "#1F2A26"
LAWN, LEAF, STONE, WOOD, SKY, SOIL, WATER = (
    "#DCE3C8", "#B9C79B", "#D8D3C7", "#E2D2B6", "#E9EEF0", "#D9C5A5", "#C9D9DF",
)  # fmt: skip


class Drawing:
    """One sheet: washes first, then ink with the small unrest of a hand."""

    def __init__(self) -> None:
        from PIL import Image, ImageDraw

        self.picture = Image.new("RGB", (WIDE * FINE, HIGH * FINE), PAPER)
        self.pen = ImageDraw.Draw(self.picture)

    def wash(self, points: Sequence[Point], color: str) -> None:
        """A surface in one color."""
        self.pen.polygon([(x * FINE, y * FINE) for x, y in points], fill=color)

    def ink(self, points: Sequence[Point], width: float = 2.6, *, closed: bool = False) -> None:
        """A line through points."""
        corners = [*points, points[0]] if closed else points
        for number, (start, end) in enumerate(pairwise(corners)):
            self._stroke(start, end, width, number)

    def _stroke(self, start: Point, end: Point, width: float, number: int) -> None:
        """One stroke, a point or two off the straight."""
        (x, y), (to_x, to_y) = start, end
        length = max(1.0, ((to_x - x) ** 2 + (to_y - y) ** 2) ** 0.5)
        across = ((y - to_y) / length, (to_x - x) / length)
        steps = max(2, int(length / 9))
        path = []
        for step in range(steps + 1):
            along = step / steps
            off = 1.1 * sin(along * length / 38 + number * 1.7 + x * 0.05) * sin(pi * along)
            path.append(
                ((x + (to_x - x) * along + across[0] * off) * FINE, (y + (to_y - y) * along + across[1] * off) * FINE)
            )
        self.pen.line(path, fill=INK, width=round(width * FINE), joint="curve")

    def box(self, west: float, north: float, east: float, south: float, color: str, width: float = 2.6) -> None:
        """A filled rectangle with its outline."""
        corners = [(west, north), (east, north), (east, south), (west, south)]
        self.wash(corners, color)
        self.ink(corners, width, closed=True)

    def blob(self, x: float, y: float, radius: float, color: str, lobes: int = 11) -> None:
        """A crown or a shrub: a wavy ring."""
        ring = [
            (
                x + (radius + radius * 0.09 * cos(lobes * turn)) * cos(turn),
                y + (radius * 0.82 + radius * 0.08 * sin(lobes * turn)) * sin(turn),
            )
            for turn in (2 * pi * at / 90 for at in range(90))
        ]
        self.wash(ring, color)
        self.ink(ring, 2.2, closed=True)

    def grass(self, spots: Sequence[Point]) -> None:
        """Tufts."""
        for x, y in spots:
            for lean in (-5, 0, 5):
                self.ink([(x + lean / 2, y), (x + lean, y - 11)], 1.5)

    def content(self) -> bytes:
        """The sheet as a PNG."""
        from PIL import Image

        out = BytesIO()
        self.picture.resize((WIDE, HIGH), Image.Resampling.LANCZOS).save(out, "PNG")
        return out.getvalue()


def _ground(sheet: Drawing, horizon: float) -> None:
    sheet.wash([(0, 0), (WIDE, 0), (WIDE, horizon), (0, horizon)], SKY)
    sheet.wash([(0, horizon), (WIDE, horizon), (WIDE, HIGH), (0, HIGH)], LAWN)


def _boards(
    sheet: Drawing, west: float, east: float, top: Callable[[float], float], foot: Callable[[float], float]
) -> None:
    """A board fence between two x."""
    sheet.wash([(west, top(west)), (east, top(east)), (east, foot(east)), (west, foot(west))], WOOD)
    at = west
    while at <= east:
        sheet.ink([(at, top(at)), (at, foot(at))], 1.8)
        at += max(10.0, (foot(at) - top(at)) * 0.13)
    for share in (0.2, 0.8):
        sheet.ink([(x, top(x) + (foot(x) - top(x)) * share) for x in (west, east)], 2.0)
    sheet.ink([(west, top(west)), (east, top(east))])
    sheet.ink([(west, foot(west)), (east, foot(east))])


def old_slab() -> bytes:
    """The back of the house from the lawn: the slab with its cracks before the kitchen door."""
    sheet = Drawing()
    _ground(sheet, 360)
    sheet.box(150, 130, 860, 420, PAPER)
    for y in range(158, 420, 26):
        sheet.ink([(150, y), (860, y)], 1.0)
    sheet.wash([(120, 130), (230, 40), (790, 40), (890, 130)], STONE)
    sheet.ink([(120, 130), (230, 40), (790, 40), (890, 130)], 3.2, closed=True)
    sheet.box(430, 210, 590, 420, SKY, 3.0)
    sheet.ink([(510, 210), (510, 420)])
    sheet.box(220, 215, 340, 320, SKY)
    sheet.ink([(280, 215), (280, 320)], 1.8)
    sheet.box(680, 215, 800, 320, SKY)
    sheet.ink([(740, 215), (740, 320)], 1.8)
    slab = [(330, 420), (700, 420), (800, 610), (220, 610)]
    sheet.wash(slab, STONE)
    sheet.ink(slab, 3.2, closed=True)
    sheet.ink([(512, 420), (508, 610)], 1.8)
    sheet.ink([(278, 512), (750, 512)], 1.8)
    sheet.ink([(360, 440), (410, 486), (402, 530), (452, 572), (446, 608)], 2.2)
    sheet.ink([(640, 424), (612, 470), (668, 520), (650, 560)], 2.2)
    sheet.ink([(668, 520), (742, 548)], 1.8)
    sheet.grass(
        [(180, 640), (300, 690), (480, 660), (640, 700), (860, 650), (920, 560), (90, 560), (130, 470), (880, 470)]
    )
    return sheet.content()


def maple() -> bytes:
    """The maple at the left line, with the fence behind and roots that lift the lawn."""
    sheet = Drawing()
    _ground(sheet, 330)
    _boards(sheet, 0, WIDE, lambda x: 190 + x * 0.03, lambda x: 360 + x * 0.01)
    trunk = [(420, 640), (448, 560), (452, 330), (540, 330), (546, 560), (580, 640)]
    sheet.wash(trunk, WOOD)
    sheet.ink(trunk, 3.2)
    for x, y, radius in ((360, 220, 150), (640, 210, 150), (500, 130, 170), (500, 260, 150)):
        sheet.blob(x, y, radius, LEAF, 13)
    for x in (470, 494, 520):
        sheet.ink([(x, 420), (x + 4, 560)], 1.4)
    sheet.ink([(420, 640), (330, 664), (250, 660)], 2.4)
    sheet.ink([(580, 640), (680, 668), (770, 660)], 2.4)
    sheet.ink([(500, 640), (512, 700)], 2.4)
    sheet.grass(
        [(120, 520), (220, 460), (760, 470), (860, 540), (930, 690), (640, 720), (330, 720), (90, 680), (180, 610)]
    )
    return sheet.content()


def side_gate() -> bytes:
    """The way in along the house: the fence that comes out for the machine."""
    sheet = Drawing()
    _ground(sheet, 330)
    sheet.wash([(0, 60), (330, 190), (330, 400), (0, 640)], PAPER)
    for step in range(11):
        low, far = 60 + step * 53, 190 + step * 19.4
        sheet.ink([(0, low), (330, far)], 1.1)
    sheet.ink([(0, 60), (330, 190), (330, 400), (0, 640)], 3.2)
    _boards(sheet, 330, 470, lambda _: 220, lambda _: 400)
    _boards(sheet, 620, 700, lambda _: 220, lambda _: 400)
    sheet.box(480, 226, 612, 400, WOOD, 3.0)
    sheet.ink([(480, 400), (612, 226)], 2.2)
    sheet.ink([(590, 310), (604, 310)], 4.0)
    _boards(sheet, 700, WIDE, lambda x: 220 - (x - 700) * 0.45, lambda x: 400 + (x - 700) * 0.8)
    path = [(490, 400), (604, 400), (720, HIGH), (180, HIGH)]
    sheet.wash(path, SOIL)
    sheet.ink([(490, 400), (180, HIGH)], 2.2)
    sheet.ink([(604, 400), (720, HIGH)], 2.2)
    sheet.ink([(330, 560), (700, 560)], 1.6)
    for x in (330, 700):
        sheet.ink(
            [(x + 14, 552), (x, 560), (x + 14, 568)] if x == 330 else [(x - 14, 552), (x, 560), (x - 14, 568)], 1.6
        )
    sheet.grass([(420, 470), (300, 560), (220, 640), (680, 480), (760, 590), (820, 690)])
    return sheet.content()


def low_corner() -> bytes:
    """The low corner at the rear, where water stands two days after rain."""
    sheet = Drawing()
    _ground(sheet, 300)
    _boards(sheet, 0, 560, lambda x: 120 + x * 0.09, lambda x: 330 - x * 0.02)
    _boards(sheet, 560, WIDE, lambda x: 170 - (x - 560) * 0.1, lambda x: 318 + (x - 560) * 0.05)
    for x, y, radius in ((130, 330, 70), (240, 340, 58), (860, 350, 78)):
        sheet.blob(x, y, radius, LEAF, 9)
    for grow, color in ((1.0, SOIL), (0.78, WATER)):
        pool = [
            (540 + grow * 270 * cos(turn) + 18 * cos(3 * turn), 500 + grow * 105 * sin(turn) + 9 * sin(5 * turn))
            for turn in (2 * pi * at / 80 for at in range(80))
        ]
        sheet.wash(pool, color)
        sheet.ink(pool, 2.2, closed=True)
    for west, east, y in ((430, 520, 480), (560, 660, 510), (470, 610, 540), (580, 640, 465)):
        sheet.ink([(west, y), (east, y)], 1.5)
    sheet.grass(
        [(140, 520), (230, 640), (420, 680), (700, 690), (880, 600), (900, 480), (320, 420), (760, 400), (90, 690)]
    )
    return sheet.content()


DRAWN: Mapping[str, Callable[[], bytes]] = {
    "old-slab": old_slab,
    "maple": maple,
    "side-gate": side_gate,
    "low-corner": low_corner,
}
