"""The care of what was built, month by month from the hand-over on, for the client."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from app.domain.basis import Basis
from app.domain.handover.built import BuiltWork, built_works
from app.domain.job import WHOLE_JOB, Job
from app.domain.reminder import Signs

ALWAYS = Signs()
MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """When something falls due: in months (1 to 12), so many days after hand-over, or every so many years."""

    title: str = ""
    months: tuple[int, ...] = ()
    after_days: int | None = None
    until_days: int | None = None
    every_years: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CareKind(When):
    """Care that the library knows beyond what recipes say."""

    words: str
    source: str
    asked_by: Signs = field(default_factory=Signs)


@dataclass(frozen=True, slots=True, kw_only=True)
class CareCaution:
    """What the client must know of what was built."""

    title: str
    words: str
    source: str
    asked_by: Signs = field(default_factory=Signs)


@dataclass(frozen=True, slots=True, kw_only=True)
class CareLists:
    """What the library says of care. `when`: in which months a recipe's own words fall ("spring")."""

    when: Mapping[str, When]
    rows: tuple[CareKind, ...]
    cautions: tuple[CareCaution, ...]
    visits: tuple[int, ...]  # days after hand-over on which the firm comes back to look


@dataclass(frozen=True, slots=True, kw_only=True)
class CareRow:
    """One thing to do, and where: letters of zones, and what it is about."""

    words: str
    where: tuple[str, ...]
    about: tuple[str, ...]
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CareSpan:
    """What is due some days after hand-over: from and until which day, where the day of the hand-over is known."""

    after_days: int
    until_days: int | None
    first: date | None
    last: date | None
    row: CareRow


@dataclass(frozen=True, slots=True, kw_only=True)
class CareSheet:
    """All care of a yard. `months` begins with the month of the hand-over, or of today."""

    handed_over: date | None
    first: tuple[CareSpan, ...]
    months: tuple[tuple[int, tuple[CareRow, ...]], ...]
    years: tuple[tuple[int, CareRow], ...]
    cautions: tuple[CareCaution, ...]

    @property
    def empty(self) -> bool:
        """Whether nothing that was built wants care."""
        return not (self.first or self.years or any(rows for _, rows in self.months))


def care_sheet(job: Job, basis: Basis, lists: CareLists, *, handed_over: date | None, today: date) -> CareSheet:
    """The care of what a job built; dated from the hand-over where that day is known."""
    works = [one for one in built_works(job, basis) if one.thing != WHOLE_JOB]
    letters = {str(zone.id): zone.letter for zone in job.zones}
    found = _gathered(works, basis, lists, letters)
    begin = (handed_over or today).month
    order = [(begin - 1 + at) % MONTHS + 1 for at in range(MONTHS)]
    spans = (_span(when, row, handed_over) for when, row in found if when.after_days is not None)
    cautions = (one for one in lists.cautions if one.asked_by == ALWAYS or any(w.shows(one.asked_by) for w in works))
    return CareSheet(
        handed_over=handed_over,
        first=tuple(sorted(spans, key=_by_day)),
        months=tuple((month, tuple(row for when, row in found if month in when.months)) for month in order),
        years=tuple((when.every_years, row) for when, row in found if when.every_years),
        cautions=tuple(cautions) if works else (),
    )


def _gathered(
    works: Sequence[BuiltWork], basis: Basis, lists: CareLists, letters: Mapping[str, str]
) -> list[tuple[When, CareRow]]:
    """Each thing to do once, with all the places it is about."""
    places: dict[tuple[When, str, str], tuple[list[str], list[str]]] = {}
    for when, words, source, work in _told(works, basis, lists):
        where, about = places.setdefault((_bare(when), words, source), ([], []))
        letter = letters.get(work.zone, "")
        where += [letter] if letter and letter not in where else []
        about += [work.title] if work.title not in about else []
    return [
        (when, CareRow(words=words, where=tuple(sorted(where)), about=tuple(about), source=source))
        for (when, words, source), (where, about) in places.items()
    ]


def _told(works: Iterable[BuiltWork], basis: Basis, lists: CareLists) -> Iterator[tuple[When, str, str, BuiltWork]]:
    """What each work wants: its recipe's own words, then the library's."""
    for work in works:
        for key in sorted(work.recipes, key=lambda one: (one != work.assembly, one)):
            for season, words in basis.assemblies[key].care.items():
                when = lists.when.get(season) or When(title=season, months=tuple(range(1, MONTHS + 1)))
                yield when, words, basis.assemblies[key].source, work
        for row in lists.rows:
            if work.shows(row.asked_by):
                yield row, row.words, row.source, work


def _bare(when: When) -> When:
    """The same without what tells two rows apart that fall due together."""
    return When(
        months=when.months, after_days=when.after_days, until_days=when.until_days, every_years=when.every_years
    )


def _span(when: When, row: CareRow, over: date | None) -> CareSpan:
    after, until = when.after_days or 0, when.until_days
    return CareSpan(
        after_days=after,
        until_days=until,
        first=over + timedelta(days=after) if over else None,
        last=over + timedelta(days=until) if over and until is not None else None,
        row=row,
    )


def _by_day(one: CareSpan) -> tuple[int, int]:
    return one.after_days, one.until_days or 0
