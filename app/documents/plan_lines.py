"""How what is built along a line is drawn: walls doubled, utilities in the public marking colors.

The hues are those of the uniform color code for marking underground lines (American Public Works Association: electric
red, gas yellow, communication orange, potable water blue, irrigation purple, drain and sewer green); each line has its
own dashes and its word as well, so that color never carries the meaning alone. A yellow line has a dark one under it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.documents.sheet_view import INK, PAPER, SOFT
from app.domain.job import Run, RunKind

RED, YELLOW, ORANGE, BLUE, PURPLE, GREEN = "#c62828", "#f4c20d", "#e06500", "#1565c0", "#6a3fa0", "#2e7d32"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """A line: color, width [px], dashes, what lies under it, its word on the plan."""

    color: str
    width: float = 2.4
    dashes: str = ""
    under: tuple[tuple[str, float], ...] = ((PAPER, 5.5),)
    word: str = ""


PENS: Mapping[RunKind, Pen] = {
    RunKind.WALL: Pen(color="#cfc7b2", width=4.6, under=((INK, 8),)),
    RunKind.EDGING: Pen(color=INK, width=3.2, dashes="3 2.4"),
    RunKind.FENCE: Pen(color=INK, width=1.8, dashes="18 4 2 4"),
    RunKind.CONDUIT: Pen(color=RED, dashes="14 4 3 4", word="electric"),
    RunKind.PIPE: Pen(color=BLUE, dashes="10 5", word="water"),
    RunKind.DRAIN: Pen(color=GREEN, width=3, dashes="12 4 3 4 3 4", word="drain"),
    RunKind.GAS: Pen(color=YELLOW, width=2.6, dashes="16 5", under=((PAPER, 7), (INK, 4.6)), word="gas"),
    RunKind.OTHER: Pen(color=SOFT, width=2.2, dashes="8 4"),
}
# words in a run's title that tell its line apart from others of its kind
BY_TITLE: tuple[tuple[tuple[str, ...], Pen], ...] = (
    (("sprinkler", "irrigation", "drip"), Pen(color=PURPLE, dashes="10 5", word="irrigation")),
    (("phone", "internet", "network", "speaker", "data"), Pen(color=ORANGE, dashes="5 4", word="communication")),
    (("sewer",), Pen(color=GREEN, width=3, dashes="20 5", word="sewer")),
)
DRIP = Pen(color=PURPLE, width=1, under=(), word="drip line")  # in a bed, as it is laid
THROW = Pen(color=PURPLE, width=0.8, under=())  # the rim of what a sprinkler head throws over
LINES = {RunKind.PIPE, RunKind.CONDUIT, RunKind.OTHER}


def pen_of(run: Run) -> Pen:
    """How a run is drawn."""
    if run.kind in LINES:
        title = run.title.lower()
        for words, pen in BY_TITLE:
            if any(word in title for word in words):
                return pen
    return PENS[run.kind]


def run_svg(run: Run, path: str, *, quiet: bool = False) -> str:
    """A run along a path; where it is quiet, what lies in the ground as a thin line in its hue."""
    pen = pen_of(run)
    if quiet and pen.word:
        pen = replace(pen, width=pen.width / 2, under=tuple((color, width / 2.4) for color, width in pen.under))
    return pen_svg(pen, path)


def pen_svg(pen: Pen, path: str) -> str:
    """A path as a pen draws it."""
    shape = f'<path d="{path}" fill="none" stroke-linejoin="round"'
    under = "".join(f'{shape} stroke="{color}" stroke-width="{width:g}"/>' for color, width in pen.under)
    dashes = f' stroke-dasharray="{pen.dashes}"' if pen.dashes else ""
    return f'{under}{shape} stroke="{pen.color}" stroke-width="{pen.width:g}"{dashes}/>'
