"""The tests before hand-over that follow from what was built, where each is made, and what it is held against."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from app.domain.basis import Basis
from app.domain.errors import BadValue, OutlayError
from app.domain.handover.built import BuiltWork, built_works
from app.domain.job import WHOLE_JOB, Job
from app.domain.reminder import Signs
from app.domain.units import System, format_length, format_number, format_slope, parse_length, parse_slope

Measured = Literal["", "slope", "length", "percent", "volt"]
ALWAYS = Signs()
FINEST = 1e-9  # a reading typed as the limit itself is within it


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfTest:
    """A kind of test, as the library has it; `least` and `most` in the canonical unit of what is measured."""

    key: str
    title: str
    how: str
    source: str
    each: Literal["zone", "thing", "job"] = "job"
    asked_by: Signs = field(default_factory=Signs)
    measured: Measured = ""
    least: float | None = None
    most: float | None = None
    rule: str = ""  # of the checks: its value stands in for `least`
    per_count: bool = False
    by_eye: str = ""
    trade: str = ""
    no_way_round: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededTest:
    """A test that one place wants. `readings` is how many values it takes at least; 0: none is measured."""

    kind: KindOfTest
    place: str
    zone: str
    zone_letter: str
    title: str  # of the place
    readings: int
    least: float | None
    most: float | None
    source: str

    @property
    def key(self) -> str:
        """Names it: kind and place."""
        return f"{self.kind.key}:{self.place}"

    def within(self, values: Sequence[float]) -> bool:
        """Whether every reading lies within the limits."""
        low = self.least if self.least is not None else float("-inf")
        high = self.most if self.most is not None else float("inf")
        return all(low - FINEST <= one <= high + FINEST for one in values)

    def limit(self, system: System) -> str:
        """What it is held against, in words."""
        least = said(self.kind.measured, self.least, system) if self.least is not None else ""
        most = said(self.kind.measured, self.most, system) if self.most is not None else ""
        if least and most:
            return f"{least} to {most}"
        return f"at least {least}" if least else f"at most {most}" if most else ""


def said(measured: Measured, value: float, system: System) -> str:
    """A reading with its unit.

    >>> said("volt", 10.8, "feet"), said("percent", 98.0, "feet")
    ('10.8 V', '98%')
    """
    if measured == "slope":
        return format_slope(value, system)
    if measured == "length":
        return format_length(value, system, sixteenths=True)
    return format_number(value, 2) + (" V" if measured == "volt" else "%" if measured == "percent" else "")


def read_values(text: str, measured: Measured, system: System) -> tuple[float, ...]:
    """Readings as typed, with commas or line breaks between, in the canonical unit.

    Raises: BadValue beside the field for one that is no such reading.

    >>> read_values("11.2 V, 11, 10.9v", "volt", "feet")
    (11.2, 11.0, 10.9)
    """
    parts = [part.strip() for part in text.replace(";", ",").replace("\n", ",").split(",")]
    return tuple(_read(part, measured, system) for part in parts if part)


def _read(text: str, measured: Measured, system: System) -> float:
    try:
        if measured == "slope":
            return parse_slope(text, system=system).value
        if measured == "length":
            unit = "in" if system == "feet" else "mm"
            return parse_length(text, unit=unit, system=system).feet
        plain = text.lower().removesuffix("volts").removesuffix("volt").removesuffix("v").removesuffix("%").strip()
        value = float(plain) if len(plain) <= LONGEST and plain.isascii() else float("nan")
    except (ValueError, OutlayError) as wrong:
        told = wrong.sentence if isinstance(wrong, OutlayError) else _EXAMPLES[measured].format(text[:LONGEST])
        raise BadValue(told, field="values") from wrong
    if not 0 <= value <= MOST_READ:
        raise BadValue(_EXAMPLES[measured].format(text[:LONGEST]), field="values")
    return value


LONGEST, MOST_READ = 12, 1000
_EXAMPLES: Mapping[str, str] = {
    "": "“{}” was typed; nothing is measured here.",
    "slope": "“{}” is no slope. Type 2% or 1/4 in per ft.",
    "length": "“{}” is no length. Type 1/8 in.",
    "percent": "“{}” is no share in percent. Type 98.",
    "volt": "“{}” is no voltage. Type 11.4, one for each light, with commas between.",
}


def needed_tests(job: Job, basis: Basis, kinds: Mapping[str, KindOfTest]) -> tuple[NeededTest, ...]:
    """Every test that what was built asks for, by kind in the library's order, by place in the plan's.

    Nothing is asked of a job in which nothing is built on the plan.
    """
    works = built_works(job, basis)
    if not any(one.thing != WHOLE_JOB for one in works):
        return ()
    zones = {str(zone.id): zone.title for zone in job.zones}
    return tuple(_needed(kind, place, basis, zones) for kind in kinds.values() for place in _places(kind, works))


@dataclass(frozen=True, slots=True)
class _At:
    place: str
    zone: str
    letter: str
    title: str
    count: int


def _places(kind: KindOfTest, works: Iterable[BuiltWork]) -> Iterator[_At]:
    if kind.asked_by == ALWAYS:
        yield _At(WHOLE_JOB, WHOLE_JOB, "", "", 1)
        return
    found: dict[str, _At] = {}
    for one in works:
        if not _asks(kind, one):
            continue
        if kind.each == "job":
            found.setdefault(WHOLE_JOB, _At(WHOLE_JOB, WHOLE_JOB, "", "", 1))
        elif kind.each == "zone":
            found.setdefault(one.zone, _At(one.zone, one.zone, one.zone_letter, "", 1))
        else:
            found.setdefault(one.thing, _At(one.thing, one.zone, one.zone_letter, one.thing_title, one.count))
    yield from sorted(found.values(), key=lambda at: at.letter)


def _asks(kind: KindOfTest, one: BuiltWork) -> bool:
    """Whether a work asks for a test: by its signs, or because its recipe names the licensed trade whose test it is."""
    named = bool(kind.trade) and kind.trade in one.trades and one.thing != WHOLE_JOB
    return named or one.shows(kind.asked_by)


def _needed(kind: KindOfTest, at: _At, basis: Basis, zones: Mapping[str, str]) -> NeededTest:
    rule = basis.rules.get(kind.rule)
    return NeededTest(
        kind=kind,
        place=at.place,
        zone=at.zone,
        zone_letter=at.letter,
        title=at.title or zones.get(at.zone, ""),
        readings=0 if not kind.measured else at.count if kind.per_count else 1,
        least=rule.value if rule else kind.least,
        most=kind.most,
        source=rule.source if rule else kind.source,
    )
