"""Points of a yard from taped distances: two tapes cross at two places, three and more are adjusted as a network.

Every mark is told by a key, its name, its place where that is typed, and its tapes to other marks. Marks are placed
round by round from those that already have a place, then all are adjusted together. A tape that does not fit the
others is named. Moving or turning everything changes nothing, nor does the order of tapes.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import combinations

from app.domain.plan.adjusting import Adjusted, Line, adjusted
from app.domain.plan.arcs import Point
from app.domain.plan.between import runs_inside
from app.domain.plan.crossing import REACH, TAPE, Fit, Sight, best_angle, fitting_places, is_left, shortfall
from app.domain.plan.outline import Outline

MOST_BAD = 5  # tapes named one after another; with more, the whole wants to be taped again
MOST_ASKED = 8  # tapes tried as the bad one: those that fit worst
THROUGH = 0.25  # ft: a tape that runs so deep inside the house was not pulled there


@dataclass(frozen=True, slots=True)
class TapedLength:
    """A tape to a mark from another one, by its key: the length read [ft]."""

    start: str
    length: float
    left_out: bool = False
    deviation: float = TAPE  # its standard deviation [ft]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapedMark:
    """A mark as told: `at` where its place is typed [ft].

    `side` is left or right of the way from the first to the second of the marks it was taped from: where two places
    fit, it says which one is meant.
    """

    key: str
    name: str
    at: Point | None = None
    tapes: tuple[TapedLength, ...] = ()
    side: str = ""


class Missing(StrEnum):
    """Why a mark has no place."""

    TAPES = "too few tapes to marks with a place"
    REACH = "its two tapes do not meet"
    SIDE = "two places fit"
    MARK = "all its tapes start at one place"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplaced:
    """A mark without a place: why; the tapes to marks that have one; the places that fit, the left one first."""

    why: Missing
    knowns: tuple[str, ...] = ()
    lengths: tuple[float, ...] = ()
    apart: float = 0.0  # ft, between the first two known marks
    fitting: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedMark:
    """A mark with its place [ft]; `deviation` is its standard deviation in the worst direction [ft].

    `angle` is the best angle at which its tapes cross [degrees]; `checked` whether more tapes hold it than must.
    """

    at: Point
    typed: bool
    tapes: int = 0
    angle: float | None = None
    deviation: float = 0.0
    checked: bool = False
    by: str = ""  # how one of two places was chosen: said, house, before


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeResult:
    """A tape beside the places found: `misfit` [ft] is what it is too long by; None where an end has no place.

    `place` is its number among the tapes of its mark, from 0.
    """

    mark: str
    start: str
    place: int = 0
    length: float
    left_out: bool
    misfit: float | None = None
    standardized: float | None = None
    deviation: float = TAPE


@dataclass(frozen=True, slots=True, kw_only=True)
class BadTape:
    """A tape that does not fit: too long by so much [ft]; the others then agree within `others` [ft].

    With `suspects`, any one of these may be the wrong one: one more tape tells which.
    """

    tape: TapeResult
    by: float
    others: float
    suspects: tuple[TapeResult, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What the tapes of a yard give: places, what each tape misses by, the bad ones, how good a tape was here."""

    places: Mapping[str, PlacedMark]
    unplaced: Mapping[str, Unplaced]
    tapes: tuple[TapeResult, ...]
    bad: tuple[BadTape, ...]
    redundancy: int
    tape_deviation: float | None


def surveyed(marks: Sequence[TapedMark], *, house: Outline | None = None) -> Survey:
    """The places of all marks, from those that are typed and the tapes.

    `marks` come in the order they were measured: where two places fit, nothing is said and the house stands on neither
    tape, a mark lies on the side of the one before it that was taped from the same two.
    """
    named = {mark.key: mark for mark in marks}
    tapes = tuple(_tapes_of(marks, named))
    begun = _Begun({mark.key: mark.at for mark in marks if mark.at is not None}, {})
    while _next_round(begun, marks, tapes, house):
        pass
    return _surveyed(marks, begun, tapes)


@dataclass(slots=True)
class _Begun:
    """Places so far, and how one of two was chosen."""

    places: dict[str, Point]
    chosen: dict[str, str]
    at: dict[str, list[int]] = field(default_factory=dict)  # the numbers of the tapes at each mark: its own first

    def sights(self, mark: TapedMark, tapes: Sequence[TapeResult]) -> dict[int, tuple[str, Sight]]:
        """The tapes between a mark and those that have a place: its own first, in their order."""
        if not self.at:
            self._index(tapes)
        found: dict[int, tuple[str, Sight]] = {}
        for number in self.at.get(mark.key, ()):
            tape = tapes[number]
            other = tape.start if tape.mark == mark.key else tape.mark
            if other in self.places and not tape.left_out:
                found[number] = (other, Sight(self.places[other], tape.length, tape.deviation))
        return found

    def _index(self, tapes: Sequence[TapeResult]) -> None:
        for own in (True, False):
            for number, tape in enumerate(tapes):
                self.at.setdefault(tape.mark if own else tape.start, []).append(number)


def _tapes_of(marks: Sequence[TapedMark], named: Mapping[str, TapedMark]) -> Iterator[TapeResult]:
    """Every tape between two marks that are there."""
    for mark in marks:
        for place, tape in enumerate(mark.tapes):
            if tape.start in named and tape.start != mark.key:
                out = tape.left_out
                yield TapeResult(
                    mark=mark.key,
                    start=tape.start,
                    place=place,
                    length=tape.length,
                    left_out=out,
                    deviation=tape.deviation,
                )


def _next_round(begun: _Begun, marks: Sequence[TapedMark], tapes: Sequence[TapeResult], house: Outline | None) -> bool:
    """Place every mark that fits well, else the one that fits best, from those that have a place; whether any was."""
    found: dict[str, tuple[Fit, Point, str]] = {}
    for mark in marks:
        if mark.key not in begun.places:
            placed = _place(begun, marks, mark, tuple(begun.sights(mark, tapes).values()), house)
            if placed is not None:
                found[mark.key] = placed
    sure = [key for key, (fit, _, _) in found.items() if fit.is_sure]
    unlikely = min((fit.unlikely for fit, _, _ in found.values()), default=0.0)
    for key in sure or [key for key, (fit, _, _) in found.items() if fit.unlikely <= unlikely]:
        _, begun.places[key], begun.chosen[key] = found[key]
    return bool(found)


def _place(
    begun: _Begun,
    marks: Sequence[TapedMark],
    mark: TapedMark,
    sights: Sequence[tuple[str, Sight]],
    house: Outline | None,
) -> tuple[Fit, Point, str] | None:
    """Where a mark lies by the tapes to marks that have a place, and how one of two places was chosen."""
    if len(sights) < 2 or (len(sights) == 2 and abs(shortfall(sights[0][1], sights[1][1])) > REACH):
        return None
    said = mark.side in {"left", "right"}
    free = house is None or said
    fit = fitting_places([sight for _, sight in sights], lambda place: free or not _through(house, place, sights))
    if fit is None:
        return None
    if len(fit.places) < 2:
        return fit, fit.places[0], "house" if fit.cleared else ""
    first, second = sights[0][1].known, sights[1][1].known
    left, right = sorted(fit.places, key=lambda place: not is_left(place, first, second))
    if said:
        return fit, left if mark.side == "left" else right, "said"
    before = _side_before(begun, marks, mark, (sights[0][0], sights[1][0]))
    return None if before is None else (fit, left if before else right, "before")


def _through(house: Outline | None, place: Point, sights: Sequence[tuple[str, Sight]]) -> bool:
    """Whether a tape to a place would run through the house."""
    return house is not None and any(runs_inside((sight.known, place), house, THROUGH) for _, sight in sights)


def _side_before(begun: _Begun, marks: Sequence[TapedMark], mark: TapedMark, knowns: tuple[str, str]) -> bool | None:
    """Whether the last mark before this one that was taped from the same two lies left of them; None for no such."""
    found = None
    for other in marks:
        if other.key == mark.key:
            break
        own = {tape.start for tape in other.tapes if not tape.left_out}
        if other.key in begun.places and other.at is None and set(knowns) <= own:
            found = is_left(begun.places[other.key], begun.places[knowns[0]], begun.places[knowns[1]])
    return found


def _surveyed(marks: Sequence[TapedMark], begun: _Begun, tapes: tuple[TapeResult, ...]) -> Survey:
    network = _Network(marks, begun.places, tapes)
    used = frozenset(number for number in network.usable if not tapes[number].left_out)
    best = network.adjusted(used)
    places = {
        key: PlacedMark(at=best.places[number], typed=network.fixed[number], deviation=best.deviations[number])
        for number, key in enumerate(network.keys)
    }
    results = tuple(network.results(best, used))
    held = {key: [n for n in used if key in {tapes[n].mark, tapes[n].start}] for key in network.keys}
    checked = {number: best.checked[place] > 1e-3 for place, number in enumerate(sorted(used))}
    for key, numbers in held.items():
        ends = [tapes[n].start if tapes[n].mark == key else tapes[n].mark for n in numbers]
        places[key] = replace(
            places[key],
            tapes=len(numbers),
            angle=best_angle(places[key].at, [places[end].at for end in ends]) if not places[key].typed else None,
            checked=any(checked[n] for n in numbers),
            by=begun.chosen.get(key, ""),
        )
    unplaced = {mark.key: _unplaced(begun, mark, tapes) for mark in marks if mark.key not in begun.places}
    bad = tuple(_bad_tapes(network, used, results))
    return Survey(
        places=places,
        unplaced=unplaced,
        tapes=results,
        bad=bad,
        redundancy=best.redundancy,
        tape_deviation=best.tape_deviation,
    )


class _Network:
    """All marks that have a place, and the tapes between them, to be adjusted with some tapes or others."""

    def __init__(self, marks: Sequence[TapedMark], begun: Mapping[str, Point], tapes: tuple[TapeResult, ...]) -> None:
        self.keys = [mark.key for mark in marks if mark.key in begun]
        self.fixed = [mark.at is not None for mark in marks if mark.key in begun]
        self.begun = [begun[key] for key in self.keys]
        self.tapes = tapes
        number = {key: place for place, key in enumerate(self.keys)}
        self.usable = {
            place: Line(number[tape.start], number[tape.mark], tape.length, tape.deviation)
            for place, tape in enumerate(tapes)
            if tape.start in number and tape.mark in number
        }

    def adjusted(self, used: frozenset[int], near: Adjusted | None = None) -> Adjusted:
        """The network adjusted with the tapes of these numbers, begun where it lay with others."""
        begun = near.places if near else self.begun
        return adjusted(begun, self.fixed, [self.usable[number] for number in sorted(used)])

    def misfit(self, best: Adjusted, number: int) -> float:
        """What a tape is too long by beside adjusted places [ft], whether it was used or not."""
        line = self.usable[number]
        return Sight(best.places[line.start], line.length).misfit(best.places[line.end])

    def results(self, best: Adjusted, used: frozenset[int]) -> Iterator[TapeResult]:
        """Every tape with what it misses by."""
        standardized = dict(zip(sorted(used), best.standardized, strict=True))
        for number, tape in enumerate(self.tapes):
            miss = self.misfit(best, number) if number in self.usable else None
            yield replace(tape, misfit=miss, standardized=standardized.get(number))


def _bad_tapes(network: _Network, used: frozenset[int], results: Sequence[TapeResult]) -> Iterator[BadTape]:
    """Tapes that do not fit: one or two whose absence sets all right, else the worst one after another."""
    best = network.adjusted(used)
    named = 0
    while not best.agrees and named < MOST_BAD:
        group, suspects = _wrong_ones(network, used, best)
        used = used - group
        best = network.adjusted(used, best)
        named += len(group)
        for number in sorted(group, key=lambda one: -abs(network.misfit(best, one))):
            yield BadTape(
                tape=results[number],
                by=network.misfit(best, number),
                others=max((abs(miss) for miss in best.misfits), default=0.0),
                suspects=tuple(results[one] for one in suspects),
            )


def _wrong_ones(network: _Network, used: frozenset[int], best: Adjusted) -> tuple[frozenset[int], tuple[int, ...]]:
    """The one or two tapes without which the others agree best; and all of which any one may be wrong."""
    fits = zip(sorted(used), best.standardized, strict=True)
    asked = [n for n, miss in sorted(fits, key=lambda fit: -abs(fit[1] or 0.0)) if miss is not None][:MOST_ASKED]
    for size in (1, 2):
        tried = {group: network.adjusted(used - set(group), best) for group in combinations(asked, size)}
        clearing = [group for group, rest in tried.items() if rest.agrees]
        if clearing:
            chosen = min(clearing, key=lambda group: (tried[group].squares, group))
            several = size == 1 and len(clearing) > 1
            return frozenset(chosen), tuple(sorted(one for (one,) in clearing)) if several else ()
    alone = {number: network.adjusted(used - {number}, best).squares for number in asked}
    return frozenset({min(asked, key=lambda number: (alone[number], number))}), ()


def _unplaced(begun: _Begun, mark: TapedMark, tapes: Sequence[TapeResult]) -> Unplaced:
    sights = tuple(begun.sights(mark, tapes).values())
    knowns, lengths = tuple(key for key, _ in sights), tuple(sight.length for _, sight in sights)
    if len(sights) < 2:
        return Unplaced(why=Missing.TAPES, knowns=knowns, lengths=lengths)
    (one, other) = sights[0][1], sights[1][1]
    apart = Sight(one.known, 0.0).misfit(other.known)
    fit = fitting_places([sight for _, sight in sights])
    fitting = fit.places if fit else ()
    why = Missing.SIDE if len(fitting) > 1 else Missing.REACH if fitting else Missing.MARK
    if len(sights) == 2 and fitting and abs(shortfall(one, other)) > REACH:
        why, fitting = Missing.REACH, ()
    ordered = tuple(sorted(fitting, key=lambda place: not is_left(place, one.known, other.known)))
    return Unplaced(why=why, knowns=knowns, lengths=lengths, apart=-apart, fitting=ordered)
