"""The palette as a strip of swatches, each as wide as its share of the ground: what lies together is seen together.

Color and hatch stand in attributes, with the title and the share in words under each, on the page and in print.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.documents.hatches import HATCHES, Patterns
from app.documents.plan_parts import drawn_zones
from app.documents.sheet_view import INK, PAPER, SOFT, TEXT, plain, words_width
from app.domain.basis import Basis
from app.domain.job import Job, only_included
from app.domain.palette.surfaces import surface_of
from app.domain.plan import area

TALL = 84  # px: of a swatch
LEAST = 0.05  # share of the strip: a smaller one is drawn this wide, so that it can be seen
LINE = 19  # px: of the list below
TWO_COLUMNS = 560  # px: a strip this wide has its list in two columns


@dataclass(frozen=True, slots=True, kw_only=True)
class Swatch:
    """One finish: its title, color and hatch, how much of the ground it covers [sq ft], in which zones (letters)."""

    title: str
    color: str
    hatch: str = ""
    area: float = 0.0
    zones: tuple[str, ...] = ()


def palette_of(job: Job, basis: Basis) -> tuple[Swatch, ...]:
    """The surfaces of all drawn zones, what covers most first; zones whose surface is open are left out."""
    job = only_included(job)
    found: dict[tuple[str, str, str], list[tuple[str, float]]] = {}
    for zone, outline in drawn_zones(job):
        surface = surface_of(job, basis, zone)
        if surface.title:
            key = (surface.title, surface.color, surface.hatch)
            found.setdefault(key, []).append((zone.letter, area(outline)))
    swatches = [
        Swatch(
            title=title,
            color=color,
            hatch=hatch,
            area=sum(square_feet for _, square_feet in lying),
            zones=tuple(letter for letter, _ in lying if letter),
        )
        for (title, color, hatch), lying in found.items()
    ]
    return tuple(sorted(swatches, key=lambda swatch: (-swatch.area, swatch.title)))


def shares(swatches: Sequence[Swatch]) -> tuple[float, ...]:
    """How much of the strip each swatch takes, by area; none narrower than `LEAST`, all together 1.

    >>> shares([Swatch(title="a", color="", area=300), Swatch(title="b", color="", area=100)])
    (0.75, 0.25)
    """
    total = sum(swatch.area for swatch in swatches)
    if not total:
        return tuple(1 / len(swatches) for _ in swatches)
    least = min(LEAST, 1 / len(swatches))
    small = [swatch.area / total < least for swatch in swatches]
    rest = sum(swatch.area for swatch, narrow in zip(swatches, small, strict=True) if not narrow)
    room = 1 - least * sum(small)
    return tuple(least if narrow else room * swatch.area / rest for swatch, narrow in zip(swatches, small, strict=True))


def palette_svg(swatches: Iterable[Swatch], *, width_px: int = 720, name: str = "palette") -> str:
    """The strip with a numbered list below it. `name` keeps its ids apart from other drawings of the page."""
    shown = tuple(swatches)
    if not shown:
        return ""
    patterns = Patterns(name, 1.0)
    strip = _strip(shown, float(width_px), patterns)
    lines, height = _list(shown, float(width_px))
    said = "; ".join(f"{swatch.title}, {share}" for swatch, share in zip(shown, _percents(shown), strict=True))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width_px} {height}" width="{width_px}" '
        f'height="{height}" role="img" font-family="{TEXT}" aria-labelledby="{name}-title {name}-said">'
        f'<title id="{name}-title">Palette, in the shares in which it lies</title>'
        f'<desc id="{name}-said">{plain(said)}.</desc>{patterns.defs()}{strip}{lines}</svg>'
    )


def swatch_svg(swatch: Swatch, name: str, *, width_px: int = 160, height_px: int = 72) -> str:
    """One swatch alone, in its full color with its hatch. `name` is its id on the page."""
    patterns = Patterns(name, 1.0)
    drawn = _filled(patterns, 0.8, 0.8, width_px - 1.6, height_px - 1.6, swatch)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width_px} {height_px}" width="{width_px}" '
        f'height="{height_px}" role="img" aria-label="{plain(swatch.title)}">{patterns.defs()}{drawn}</svg>'
    )


def _strip(shown: Sequence[Swatch], width: float, patterns: Patterns) -> str:
    parts, x = [], 0.8
    for place, (swatch, share) in enumerate(zip(shown, shares(shown), strict=True)):
        wide = share * (width - 1.6)
        parts.append(_filled(patterns, x, 0.8, wide, TALL, swatch))
        parts.append(_number(x + wide / 2, place + 1, min(12.0, wide / 2 - 0.5)))
        x += wide
    return "".join(parts)


def _filled(patterns: Patterns, x: float, y: float, width: float, height: float, swatch: Swatch) -> str:
    """A swatch: the material's own color; its hatch over it, as on the plan but on full ground."""
    box = f'<rect x="{x:.2f}" y="{y:g}" width="{width:.2f}" height="{height:g}"'
    plain_color = f'{box} fill="{swatch.color or "#d9d2bf"}" stroke="{INK}" stroke-width="1.2"/>'
    if swatch.hatch not in HATCHES:
        return plain_color
    return f"{plain_color}{patterns.marked(box, swatch.hatch, swatch.color)}"


def _number(x: float, number: int, radius: float) -> str:
    y = TALL - 17
    return (
        f'<circle cx="{x:.1f}" cy="{y:g}" r="{radius:.1f}" fill="{PAPER}" stroke="{INK}" stroke-width="1.4"/>'
        f'<text x="{x:.1f}" y="{y + 5:g}" font-size="14" font-weight="600" text-anchor="middle" '
        f'fill="{INK}">{number}</text>'
    )


def _list(shown: Sequence[Swatch], width: float) -> tuple[str, int]:
    """The finishes by their numbers in one or two columns, and how high the whole drawing is with them [px]."""
    columns = 2 if width >= TWO_COLUMNS else 1
    rows = -(-len(shown) // columns)
    room = width / columns - 30
    drawn, lowest = [], 0
    for place, (swatch, share) in enumerate(zip(shown, _percents(shown), strict=True)):
        if place % rows == 0:
            y = TALL + 30
        titles = _wrapped(swatch.title, room)
        where = f" · {', '.join(swatch.zones)}" if swatch.zones else ""
        drawn.append(_entry((place // rows) * width / columns, y, (str(place + 1), *titles, f"{share}{where}")))
        y += len(titles) * 17 + LINE + 2
        lowest = max(lowest, y)
    return "".join(drawn), lowest - 14


def _wrapped(title: str, room: float) -> tuple[str, ...]:
    """A title in lines that fit into `room` [px]; nothing of it is left out."""
    lines: list[str] = []
    for word in title.split():
        if lines and words_width(f"{lines[-1]} {word}", 15) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(lines)


def _entry(x: float, y: int, said: Sequence[str]) -> str:
    """A finish by its number: title, then share and zones."""
    number, *titles, share = said
    rows = "".join(
        f'<text x="{x + 20:g}" y="{y + 17 * n}" font-size="15" fill="{INK}">{plain(line)}</text>'
        for n, line in enumerate(titles)
    )
    return (
        f'<text x="{x:g}" y="{y}" font-size="15" font-weight="600" fill="{INK}">{number}</text>{rows}'
        f'<text x="{x + 20:g}" y="{y + 17 * len(titles)}" font-size="14" fill="{SOFT}">{plain(share)}</text>'
    )


def _percents(shown: Sequence[Swatch]) -> tuple[str, ...]:
    """Each share in whole percent of the area; `under 1 %` rather than nothing."""
    total = sum(swatch.area for swatch in shown)
    if not total:
        return tuple("" for _ in shown)
    return tuple(f"{s.area / total:.0%}" if s.area / total >= 0.01 else "under 1%" for s in shown)
