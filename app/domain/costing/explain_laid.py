"""Where the counts of laid units come from: whole units, cut ones, off-cuts, saw cuts, part by part.

A figure is named `laid:WORK:WHAT`, where WHAT is units, possible, cuts, saw, small or waste.
"""

from collections.abc import Callable, Mapping
from uuid import UUID

from app.domain.basis import Basis
from app.domain.job import Job
from app.domain.plan.laying import Laid, Part
from app.domain.plan.laying.pattern import BORDERS, PATTERNS
from app.domain.takeoff.requirements import laid_on
from app.domain.takeoff.trace import Trace, number_text

BY_PIECE = "each unit laid on the outline; a unit that is cut is opened for one place only"


def laid_figure(job: Job, basis: Basis, name: str) -> Trace | None:
    """How one count came about; None where nothing is laid (any more)."""
    key, _, what = name.partition(":")
    try:
        work = next((one for one in job.works if one.id == UUID(key)), None)
    except ValueError:
        return None
    found = laid_on(job, basis, work) if work else None
    say = _FIGURES.get(what)
    return say(found.laid) if found and found.laid and say else None


def part_words(laid: Laid, place: int) -> str:
    """What a part is called: the field's pattern, or a border course."""
    if place == 0:
        return f"Field, {PATTERNS[laid.laying.pattern].lower()}"
    return f"Border course {place}, {BORDERS[laid.laying.borders[place - 1].pattern].partition(':')[0].lower()}"


def wasted(laid: Laid) -> float:
    """Share of the units opened that is cut away, by area."""
    opened = sum(_area(part, part.opened) for part in laid.parts)
    return 1.0 - sum(part.covered for part in laid.parts) / opened if opened else 0.0


def _area(part: Part, counts: tuple[int, ...]) -> float:
    return sum(count * long * short for count, (long, short) in zip(counts, part.sizes, strict=True))


def _units(laid: Laid) -> Trace:
    parts = []
    for place, part in enumerate(laid.parts):
        whole, opened = sum(part.whole), sum(part.opened)
        filled = f"{number_text(whole)} + {number_text(opened - whole)}"
        parts.append(_count(part_words(laid, place), "whole + cut", filled, opened, source=BY_PIECE))
    return _summed("Units opened", parts)


def _possible(laid: Laid) -> Trace:
    parts = []
    for place, part in enumerate(laid.parts):
        whole, units = sum(part.whole), sum(part.reusing)
        filled = f"{number_text(whole)} + {number_text(units - whole)}"
        told = "whole + units that the cut pieces can be sawn from"
        parts.append(_count(part_words(laid, place), told, filled, units))
    source = "largest piece first, 1/8 in for the saw; a crew uses more, so it is not what is ordered"
    return _summed("Units, off-cuts used again", parts, source=source)


def _cuts(laid: Laid) -> Trace:
    told = "straight or curved, a corner counts as two"
    parts = [_count(part_words(laid, at), told, "", part.cuts, unit="cuts") for at, part in enumerate(laid.parts)]
    return _summed("Saw cuts", parts, unit="cuts")


def _saw(laid: Laid) -> Trace:
    told = "sides of the cut pieces that are not the unit's own"
    parts = [_count(part_words(laid, at), told, "", part.cut_length, unit="ft") for at, part in enumerate(laid.parts)]
    return _summed("Length of saw cuts", parts, unit="ft")


def _small(laid: Laid) -> Trace:
    told = "cut pieces below the smallest share of a unit"
    parts = [_count(part_words(laid, at), told, "", part.slivers, unit="") for at, part in enumerate(laid.parts)]
    source = "Interlocking Concrete Pavement Institute, tolerances: no piece under a third where wheels go"
    return _summed("Small pieces", parts, unit="", source=source)


def _waste(laid: Laid) -> Trace:
    opened = sum(_area(part, part.opened) for part in laid.parts)
    covered = sum(part.covered for part in laid.parts)
    filled = f"1 − {number_text(covered)} / {number_text(opened)}"
    steps = (
        _count("Area of all pieces", "laid", "", covered, unit="sq ft"),
        _count("Area of all units opened", "units × face", "", opened, unit="sq ft"),
    )
    return _count("Cut away", "1 − laid / opened", filled, wasted(laid) * 100, unit="%", steps=steps)


def _summed(label: str, parts: list[Trace], unit: str = "units", source: str = "") -> Trace:
    total = sum(one.result for one in parts)
    if len(parts) == 1:
        return _count(label, parts[0].expression, parts[0].filled, total, unit, source or parts[0].source)
    filled = " + ".join(number_text(one.result) for one in parts)
    return _count(label, "field and borders", filled, total, unit, source, tuple(parts))


def _count(
    label: str,
    told: str,
    filled: str,
    result: float,
    unit: str = "units",
    source: str = "",
    steps: tuple[Trace, ...] = (),
) -> Trace:
    return Trace(
        label=label, expression=told, filled=filled, result=float(result), unit=unit, source=source, steps=steps
    )


_FIGURES: Mapping[str, Callable[[Laid], Trace]] = {
    "units": _units,
    "possible": _possible,
    "cuts": _cuts,
    "saw": _saw,
    "small": _small,
    "waste": _waste,
}
