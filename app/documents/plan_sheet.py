"""The plan on paper, true to scale: one drawing a page, tiled where it must be, with its title block and schedule.

A page is drawn in px of 1/96 in and printed at that size, so that a foot is as long as its scale says.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from app.documents.hatches import Patterns
from app.documents.plan_drawing import drawn_on
from app.documents.plan_parts import EDGE, Sheet, around, drawn_zones, extent, near_extent
from app.documents.plan_schedule import columns_of, legend, plant_key, schedule
from app.documents.sheet_view import (
    INK,
    PAPER,
    SOFT,
    TEXT,
    WHITE,
    Box,
    Taken,
    View,
    graphic_scale,
    north_arrow,
    plain,
    words_width,
)
from app.domain.basis import Basis
from app.domain.errors import BadValue
from app.domain.job import Job
from app.domain.plan import bounds
from app.domain.plan.arcs import Point

INCH = 96  # px
PAPERS: Mapping[str, tuple[float, float]] = {  # in, lying: ANSI A and B, ISO 216 A4 and A3
    "letter": (11.0, 8.5),
    "a4": (297 / 25.4, 210 / 25.4),
    "tabloid": (17.0, 11.0),
    "a3": (420 / 25.4, 297 / 25.4),
}
MARGIN, FOOT, MATCH = 0.4, 0.95, 0.3  # in: around the sheet, of the title block, shown twice where sheets meet
COLUMN: Mapping[str, float] = {"letter": 2.3, "a4": 2.3, "tabloid": 3.1, "a3": 3.1}  # in: of the schedule
MOST_SHEETS = 40


@dataclass(frozen=True, slots=True)
class Scale:
    """A drawing scale: as it is written, how many feet an inch of paper stands for, the segment of its bar."""

    title: str
    feet: float
    segment: float  # ft
    words: str  # of four segments


SCALES: Mapping[str, Scale] = {
    "1/4": Scale('1/4" = 1\'-0"', 4.0, 1.0, "4 ft"),
    "1/8": Scale('1/8" = 1\'-0"', 8.0, 2.5, "10 ft"),
    "1/16": Scale('1/16" = 1\'-0"', 16.0, 5.0, "20 ft"),
    "1:50": Scale("1:50", 50 / 12, 0.25 / 0.3048, "1 m"),
    "1:100": Scale("1:100", 100 / 12, 0.5 / 0.3048, "2 m"),
    "1:200": Scale("1:200", 200 / 12, 1 / 0.3048, "4 m"),
    "1in20": Scale('1" = 20\'-0"', 20.0, 5.0, "20 ft"),
    "1in30": Scale('1" = 30\'-0"', 30.0, 10.0, "40 ft"),
    "1in40": Scale('1" = 40\'-0"', 40.0, 10.0, "40 ft"),
    "1in60": Scale('1" = 60\'-0"', 60.0, 15.0, "60 ft"),
    "1in100": Scale('1" = 100\'-0"', 100.0, 25.0, "100 ft"),
    "1:250": Scale("1:250", 250 / 12, 1 / 0.3048, "4 m"),
    "1:500": Scale("1:500", 500 / 12, 2 / 0.3048, "8 m"),
}
OWN: Mapping[str, tuple[str, ...]] = {"metric": ("1:50", "1:100", "1:200")}  # the largest first
FEET = ("1/4", "1/8", "1/16")
SMALLER: Mapping[str, tuple[str, ...]] = {"metric": ("1:250", "1:500")}  # at which a whole lot fits one sheet
SMALLER_FEET = ("1in20", "1in30", "1in40", "1in60", "1in100")


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """What the foot of each sheet says, beside scale and north."""

    firm: str
    license: str
    client: str
    place: str
    title: str
    standing: str  # a draft, offered, signed
    day: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSheets:
    """The sheets of a plan: at which scale, on which paper, in how many columns and rows; each as SVG and in words."""

    scale: str
    paper: str
    columns: int
    rows: int
    pages: tuple[str, ...]
    alternatives: tuple[str, ...]  # words for each page


def plan_sheets(
    job: Job, basis: Basis, block: TitleBlock, *, paper: str = "letter", scale: str = "", lot: bool = False
) -> PlanSheets:
    """Draw the plan at a scale of `SCALES`; none named: the largest of the firm's system that fits one sheet.

    With `lot` the whole lot is shown, however large it is.

    Raises: BadValue on another paper or scale, where it would take more than 40 sheets or nothing is drawn yet.
    """
    if paper not in PAPERS:
        raise BadValue(f"“{paper}” is no paper we print a plan on. Choose {', '.join(PAPERS)}.", field="paper")
    if scale and scale not in SCALES:
        raise BadValue(f"“{scale}” is no scale we draw at. Choose {', '.join(SCALES)}.", field="scale")
    whole, near = extent(job), near_extent(job)
    if whole is None or near is None:
        raise BadValue("Nothing is drawn yet. Draw or type the first outline, then print the plan.")
    if lot and job.site.lot is not None:
        whole = near = around([whole, bounds(job.site.lot)])
    system = basis.firm.system
    names = (scale,) if scale else OWN.get(system, FEET) + (SMALLER.get(system, SMALLER_FEET) if lot else ())
    chosen, grid = _fitting(whole, near, paper, names)
    if grid.sheets > MOST_SHEETS:
        raise BadValue(
            f"At {SCALES[chosen].title} this plan takes {grid.sheets} sheets of {paper}. "
            f"Choose a smaller scale or larger paper; up to {MOST_SHEETS} sheets are drawn.",
            field="scale",
        )
    room = COLUMN[paper] * INCH, grid.height
    beside = columns_of(schedule(job, basis), legend(job), room, basis.firm.system, plant_key(job, basis))
    further = range(grid.sheets, len(beside), grid.abreast)
    drawings = [_drawing(job, basis, grid, at) for at in range(grid.sheets)]
    drawings += [_abreast(beside[at : at + grid.abreast], grid) for at in further]
    columns = [*beside[: grid.sheets], *[beside[0]] * (grid.sheets - len(beside)), *[""] * len(further)]
    pages = zip(drawings, columns, strict=True)
    drawn = [_page(job, block, grid, (at, len(drawings)), *page) for at, page in enumerate(pages)]
    return PlanSheets(
        scale=chosen,
        paper=paper,
        columns=grid.columns,
        rows=grid.rows,
        pages=tuple(drawn),
        alternatives=tuple(_said(job, grid, at, len(drawn)) for at in range(len(drawn))),
    )


def _fitting(whole: Box, near: Box, paper: str, names: tuple[str, ...]) -> tuple[str, "_Grid"]:
    """The largest scale at which all, or else what is designed and what lies near it, fits one sheet.

    Where nothing fits one sheet: what is designed, at the second of the scales, on several.
    """
    for name in names:
        for box in (whole, near):
            grid = _Grid.of(box, paper, SCALES[name])
            if grid.sheets == 1:
                return name, grid
    name = names[min(1, len(names) - 1)]
    return name, _Grid.of(near, paper, SCALES[name])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """How a plan is cut into sheets: px per ft, the window of a sheet [px], the first window's edges [ft]."""

    scale: Scale
    paper: str
    unit: float
    width: float
    height: float
    columns: int
    rows: int
    west: float
    north: float

    @classmethod
    def of(cls, box: Box, paper: str, scale: Scale) -> "_Grid":
        unit = INCH / scale.feet
        wide, high = (side * INCH for side in PAPERS[paper])
        width = wide - (2 * MARGIN + COLUMN[paper]) * INCH
        height = high - (2 * MARGIN + FOOT) * INCH
        west, south, east, north = box
        across, up = (east - west) * unit + 2 * EDGE, (north - south) * unit + 2 * EDGE
        columns, rows = _sheets(across, width), _sheets(up, height)
        step = MATCH * INCH
        whole = columns * (width - step) + step, rows * (height - step) + step
        return cls(
            scale=scale,
            paper=paper,
            unit=unit,
            width=width,
            height=height,
            columns=columns,
            rows=rows,
            west=(west + east) / 2 - whole[0] / 2 / unit,
            north=(south + north) / 2 + whole[1] / 2 / unit,
        )

    @property
    def sheets(self) -> int:
        """How many sheets hold the drawing."""
        return self.columns * self.rows

    @property
    def abreast(self) -> int:
        """How many columns of the schedule stand side by side where there is no drawing."""
        return int(self.width // (COLUMN[self.paper] * INCH))

    def view(self, at: int) -> View:
        """The window of one sheet, counted row by row from the upper left."""
        row, column = divmod(at, self.columns)
        step = MATCH * INCH
        return View(
            scale=self.unit,
            west=self.west + column * (self.width - step) / self.unit,
            north=self.north - row * (self.height - step) / self.unit,
            width=self.width,
            height=self.height,
        )


def _sheets(needed: float, window: float) -> int:
    return max(1, ceil((needed - MATCH * INCH) / (window - MATCH * INCH) - 1e-9))


def _drawing(job: Job, basis: Basis, grid: _Grid, at: int) -> str:
    """What one sheet shows of the plan, with the lines along which it meets its neighbors."""
    view = grid.view(at)
    patterns = Patterns(f"sheet{at}", min(max(grid.unit / 24, 0.7), 1.3))
    sheet = Sheet(job, basis, view, patterns, Taken(view.width, view.height))
    sheet.laid = True
    shown = drawn_on(sheet).replace(PAPER, WHITE) + "".join(_matches(grid, at))
    window = f'<clipPath id="window"><rect width="{grid.width:.3f}" height="{grid.height:.3f}"/></clipPath>'
    return f'{sheet.patterns.defs()}{window}<g clip-path="url(#window)">{shown}</g>'


def _abreast(columns: Sequence[str], grid: _Grid) -> str:
    """Columns of the schedule side by side, where it goes on."""
    wide = COLUMN[grid.paper] * INCH
    return "".join(f'<g transform="translate({place * wide:.3f} 0)">{one}</g>' for place, one in enumerate(columns))


def _page(job: Job, block: TitleBlock, grid: _Grid, number: tuple[int, int], drawing: str, column: str) -> str:
    width, height = (side * INCH for side in PAPERS[grid.paper])
    left = MARGIN * INCH
    foot, beside = left + grid.height, left + grid.width
    inside = f'width="{width - 2 * left:.3f}" height="{height - 2 * left:.3f}"'
    rule = f'<path d="M{beside:.2f} {left:.2f}v{grid.height:.2f}" stroke="{INK}" stroke-width=".8"/>' if column else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.3f} {height:.3f}" width="{width:.3f}" '
        f'height="{height:.3f}" font-family="{TEXT}"><g transform="translate({left:.3f} {left:.3f})">{drawing}</g>'
        f'<rect x="{left:.3f}" y="{left:.3f}" {inside} fill="none" stroke="{INK}" stroke-width="1.6"/>{rule}'
        f'<g transform="translate({beside:.3f} {left:.3f})">{column}</g>'
        f'<g transform="translate({left:.3f} {foot:.3f})">{_foot(job, block, grid, number)}</g></svg>'
    )


def _foot(job: Job, block: TitleBlock, grid: _Grid, number: tuple[int, int]) -> str:
    """The title block along the foot: firm, client, what it is, scale, north."""
    width, high = (PAPERS[grid.paper][0] - 2 * MARGIN) * INCH, FOOT * INCH
    at, sheets = number
    counted = f"sheet {at + 1} of {sheets}" if sheets > 1 else "one sheet"
    cells = (
        (0.25, (block.firm, block.license)),
        (0.27, (block.client, block.place)),
        (0.24, (block.title, f"{block.standing}, {block.day}", counted)),
    )
    parts = [f'<path d="M0 0H{width:.2f}" stroke="{INK}" stroke-width="1.6"/>']
    x = 0.0
    for share, lines in cells:
        parts += _lines(x + 12, share * width - 20, [line for line in lines if line])
        x += share * width
        parts.append(f'<path d="M{x:.2f} 0V{high:.2f}" stroke="{INK}" stroke-width=".8"/>')
    parts.append(north_arrow((x + 36, high / 2 + 4), job.site.north, 18))
    scale = grid.scale
    bar = graphic_scale((x + 84, 44), scale.segment * grid.unit, scale.words)
    parts.append(
        f'<text x="{x + 84:.1f}" y="28" font-size="15" font-weight="600" fill="{INK}">{plain(scale.title)}</text>'
    )
    return "".join([*parts, bar])


def _lines(x: float, room: float, lines: list[str]) -> Iterator[str]:
    """Up to three lines of a cell, the first one large; what is too long is set narrower."""
    for place, line in enumerate(lines[:3]):
        size, weight, fill = (16, ' font-weight="600"', INK) if place == 0 else (14, "", SOFT)
        wide = words_width(line, size)
        squeezed = f' textLength="{room:.1f}" lengthAdjust="spacingAndGlyphs"' if wide > room else ""
        yield (
            f'<text x="{x:.1f}" y="{27 + place * 22}" font-size="{size}"{weight} fill="{fill}"{squeezed}>'
            f"{plain(line)}</text>"
        )


def _matches(grid: _Grid, at: int) -> Iterator[str]:
    """The lines along which sheets meet, each with the number of the sheet that goes on there."""
    row, column = divmod(at, grid.columns)
    half, wide, high = MATCH * INCH / 2, grid.width, grid.height
    upright, lying = f"V{high:.2f}", f"H{wide:.2f}"
    if column > 0:
        yield _match(f"M{half} 0{upright}", (half, high / 2), -90, at - 1)
    if column < grid.columns - 1:
        yield _match(f"M{wide - half:.2f} 0{upright}", (wide - half, high / 2), -90, at + 1)
    if row > 0:
        yield _match(f"M0 {half}{lying}", (wide / 2, half), 0, at - grid.columns)
    if row < grid.rows - 1:
        yield _match(f"M0 {high - half:.2f}{lying}", (wide / 2, high - half), 0, at + grid.columns)


def _match(path: str, middle: Point, turn: int, other: int) -> str:
    words = f"match line, sheet {other + 1}"
    wide = words_width(words, 14) + 10
    return (
        f'<path d="{path}" stroke="{INK}" stroke-width="1.4" stroke-dasharray="22 5 5 5" fill="none"/>'
        f'<g transform="translate({middle[0]:.1f} {middle[1]:.1f}) rotate({turn})"><rect x="{-wide / 2:.1f}" y="-9" '
        f'width="{wide:.1f}" height="18" fill="{WHITE}"/><text y="5" font-size="14" text-anchor="middle" '
        f'fill="{INK}">{words}</text></g>'
    )


def _said(job: Job, grid: _Grid, at: int, sheets: int) -> str:
    if at >= grid.sheets:
        return "Schedule of zones, continued."
    zones = ", ".join(f"{zone.letter} {zone.title}".strip() for zone, _ in drawn_zones(job))
    part = f", sheet {at + 1} of {sheets}" if sheets > 1 else ""
    return f"Plan at {grid.scale.title}{part}: {zones or 'no zones'}."
