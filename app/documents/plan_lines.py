"""How what is built along a line or at a point is drawn: walls doubled, utilities in the public marking colors.

The hues are those of the uniform color code for marking underground lines (American Public Works Association: electric
red, gas yellow, communication orange, potable water blue, irrigation purple, drain and sewer green); each line has its
own dashes and its word as well, so that color never carries the meaning alone. A yellow line has a dark one under it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from app.documents.hatches import ground_color, mark_color
from app.documents.sheet_view import INK, PAPER, SOFT
from app.domain.basis import Basis
from app.domain.job import Feature, Job, PlaceKind, Run, RunKind

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
LINES = {RunKind.PIPE, RunKind.CONDUIT, RunKind.OTHER}


def pen_of(run: Run) -> Pen:
    """How a run is drawn."""
    if run.kind in LINES:
        title = run.title.lower()
        for words, pen in BY_TITLE:
            if any(word in title for word in words):
                return pen
    return PENS[run.kind]


def run_svg(run: Run, path: str) -> str:
    """A run along a path."""
    pen = pen_of(run)
    shape = f'<path d="{path}" fill="none" stroke-linejoin="round"'
    under = "".join(f'{shape} stroke="{color}" stroke-width="{width:g}"/>' for color, width in pen.under)
    dashes = f' stroke-dasharray="{pen.dashes}"' if pen.dashes else ""
    return f'{under}{shape} stroke="{pen.color}" stroke-width="{pen.width:g}"{dashes}/>'


def feature_svg(job: Job, basis: Basis, feature: Feature, at: tuple[float, float], scale: float) -> tuple[str, float]:
    """A feature's symbol at a point [px], and its half size [px]."""
    work = next((w for w in job.works if w.place == PlaceKind.FEATURE and w.place_id == feature.id), None)
    assembly = basis.assemblies.get(work.assembly) if work else None
    color = assembly.drawing.color if assembly else ""
    words = f"{assembly.key if assembly else ''} {feature.title}".lower()
    half = max(7.0, min(((feature.area or 0.0) ** 0.5 or _natural(words)) * scale / 2, 90.0))
    return _symbol(words, half, at, color), half


def _natural(words: str) -> float:
    """About how wide a thing of that name is on the ground [ft], where no area was typed. Common practice."""
    sizes = (("tree", 8.0), ("shrub", 3.0), ("fire", 4.0), ("light", 0.8), ("column", 2.0), ("structure", 10.0))
    return next((size for word, size in sizes if word in words), 2.0)


def _symbol(words: str, half: float, at: tuple[float, float], color: str) -> str:
    ink = f'stroke="{INK}" stroke-width="1.8"'
    fill = f'fill="{ground_color(color)}"'
    h = f"{half:.1f}"
    if "light" in words or "spot" in words:
        inside = f'<circle r="{h}" fill="{PAPER}" {ink}/><path d="M-{h} 0H{h}M0 -{h}V{h}" {ink}/>'
    elif "tree" in words or "shrub" in words:
        inside = (
            f'<circle r="{h}" {fill} fill-opacity=".75" stroke="{mark_color(color)}" stroke-width="2" '
            f'stroke-dasharray="9 3"/><circle r="2.6" fill="{INK}"/>'
        )
    elif "fire" in words:
        inside = f'<circle r="{h}" {fill} {ink}/><circle r="{half * 0.55:.1f}" fill="{PAPER}" {ink}/>'
    elif "basin" in words or "water" in words:
        inside = f'<circle r="{h}" {fill} {ink}/><circle r="{half * 0.4:.1f}" fill="none" {ink}/>'
    elif "structure" in words or "column" in words:
        box = f'<rect x="-{h}" y="-{h}" width="{2 * half:.1f}" height="{2 * half:.1f}"'
        cross = f'<path d="M-{h} -{h}L{h} {h}M{h} -{h}L-{h} {h}" stroke="{INK}" stroke-width="1"/>'
        inside = f'{box} {fill} fill-opacity=".5" {ink}/>{cross}'
    else:
        inside = f'<rect x="-{h}" y="-{h}" width="{2 * half:.1f}" height="{2 * half:.1f}" {fill} {ink}/>'
    return f'<g transform="translate({at[0]:.1f} {at[1]:.1f})">{inside}</g>'
