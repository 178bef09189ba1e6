"""One work on a crew sheet; those that are alike are said once."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from app.domain.crew.layers import Layer, Size
from app.domain.crew.lines import GasPipe, PowerLine
from app.domain.takeoff.drip_lines import BedDrip
from app.domain.takeoff.laid import LaidWork


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewWork:
    """One work: what it is, where, its measures, its layers from the bottom up, other sizes, and words."""

    title: str
    where: str
    measures: tuple[Size, ...]
    layers: tuple[Layer, ...]
    sizes: tuple[Size, ...]
    words: tuple[str, ...]
    cure_days: int
    laid: LaidWork | None = None  # its units in a pattern
    drip: BedDrip | None = None  # its drip line, as it lies in the bed
    gas: GasPipe | None = None
    power: PowerLine | None = None
    by_subcontractor: bool = False  # given away, by an accepted quote


def together(works: Iterable[CrewWork]) -> tuple[CrewWork, ...]:
    """Works of one thing each that are alike, as heads that are capped: said once, with all their places."""
    found: dict[object, list[CrewWork]] = {}
    for one in works:
        plain = one.laid is None and one.drip is None and one.gas is None and one.power is None and not one.measures
        alike = (one.title, one.layers, one.sizes, one.words, one.cure_days, one.by_subcontractor)
        found.setdefault(alike if plain else id(one), []).append(one)
    return tuple(
        replace(same[0], where="; ".join(sorted((one.where for one in same), key=_by_numbers)))
        for same in found.values()
    )


def _by_numbers(words: str) -> list[tuple[int, str]]:
    """So that head 2 stands before head 10."""
    return [(int(part) if part.isdecimal() else -1, part) for part in re.split(r"(\d+)", words)]
