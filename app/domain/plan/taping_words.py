"""What the tapes give, in words: why a mark has no place, which tape is bad, how well a place is known."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.domain.plan.crossing import FLAT
from app.domain.plan.taping import BadTape, Missing, PlacedMark, Survey, TapeResult, Unplaced
from app.domain.units import System, format_length

LOOSE = 1 / 8  # ft: 1 1/2 in, a standard deviation above which a place is too uncertain to build from (common practice)


@dataclass(frozen=True, slots=True)
class TapingWords:
    """The sentences of a survey whose marks have these names, in the firm's units."""

    survey: Survey
    names: Mapping[str, str]
    system: System = "feet"

    def summary(self) -> str:
        """How many tapes hold how many marks, and how well they agree."""
        survey = self.survey
        found = sum(1 for mark in survey.places.values() if not mark.typed)
        used = sum(1 for tape in survey.tapes if not tape.left_out and tape.misfit is not None)
        if not used:
            return "No tapes yet."
        said = f"{_counted(used, 'tape')} place {_counted(found, 'mark')}"
        if survey.tape_deviation is None:
            return f"{said}, none more than it takes: nothing checks them. Tape each mark from a third one."
        more = f"{_counted(survey.redundancy, 'tape')} more than it takes"
        return f"{said}, {more}. A tape was good to about {self._fine(survey.tape_deviation)}."

    def bad(self, one: BadTape) -> str:
        """The bad tape named: what it is too long or short by, and how well the others agree without it."""
        if one.suspects:
            listed = " and ".join(self._tape(tape) for tape in one.suspects)
            return f"The tapes {listed} do not agree; any one of them may be wrong. One more tape tells which."
        typed = self.survey.places
        if typed[one.tape.start].typed and typed[one.tape.mark].typed:
            apart = self._fine(one.tape.length - one.by)
            return (
                f"The tape {self._tape(one.tape)} reads {self._fine(one.tape.length)}, but the typed places of both "
                f"marks are {apart} apart. Check the tape and both places."
            )
        much = f"{self._length(abs(one.by))} too {'long' if one.by > 0 else 'short'}"
        return (
            f"The tape {self._tape(one.tape)} is {much}; without it the others agree within "
            f"{self._fine(one.others)}. Pull it again, or leave it out."
        )

    def unplaced(self, key: str, why: Unplaced) -> str:
        """Why a mark has no place, with the numbers, and what to do."""
        name = self.names[key]
        if why.why is Missing.REACH:
            return self._no_triangle(why)
        if why.why is Missing.SIDE:
            first, second = (self.names[known] for known in why.knowns[:2])
            places = " or ".join(self.place(one) for one in why.fitting)
            return f"Two places fit {name}: {places}. Say on which side of the way from {first} to {second} it lies."
        if why.why is Missing.MARK:
            return f"All tapes to {name} start at {self.names[why.knowns[0]]}. Tape it from a second mark as well."
        if not why.knowns:
            return f"{name} has no tape from a mark with a place. Tape it from two, or type where it lies."
        return f"{name} has one tape, from {self.names[why.knowns[0]]}. Tape it from a second mark as well."

    def doubts(self, key: str, mark: PlacedMark) -> Iterator[str]:
        """What should be known about a place that was found."""
        name = self.names[key]
        if mark.typed:
            return
        if mark.angle is not None and mark.angle < FLAT:
            yield (
                f"The tapes to {name} cross at {mark.angle:.0f}°: too flat to tell its place well. "
                f"Tape it from a mark to the side, where they cross at {FLAT:.0f}° or more."
            )
        elif mark.deviation > LOOSE:
            yield f"{name} is only known to about {self._length(mark.deviation)}. One more tape would hold it."
        if not mark.checked:
            yield f"{name} has just the tapes it needs: nothing checks them. A third one would."

    def how(self, mark: PlacedMark) -> str:
        """How a place came about."""
        if mark.typed:
            return "typed"
        chosen = {
            "said": ", the side as said",
            "house": ", on the side where no tape runs through the house",
            "before": ", on the side of the mark before it",
        }.get(mark.by, "")
        return f"{_counted(mark.tapes, 'tape')}{chosen}"

    def place(self, point: tuple[float, float]) -> str:
        """A place from the datum."""
        (x, y), across, along = point, "right", "up"
        across, along = ("left" if x < 0 else across), ("down" if y < 0 else along)
        return f"{self._fine(abs(x))} {across}, {self._fine(abs(y))} {along}"

    def _no_triangle(self, why: Unplaced) -> str:
        first, second = (self.names[known] for known in why.knowns[:2])
        one, other, apart = (self._length(feet) for feet in (*why.lengths[:2], why.apart))
        missing = why.apart - sum(why.lengths[:2])
        if missing > 0:
            return (
                f"{one} and {other} cannot reach across the {apart} between {first} and {second}: "
                f"{self._length(missing)} are missing. Check both tapes."
            )
        longer, shorter = sorted(zip(why.lengths[:2], (first, second), strict=True), key=lambda pair: -pair[0])
        beyond = self._length(longer[0] - why.apart - shorter[0])
        return (
            f"{self._length(longer[0])} from {longer[1]} and {self._length(shorter[0])} from {shorter[1]} do not "
            f"meet: the two marks are {apart} apart, so that the longer tape ends {beyond} beyond the shorter one. "
            "Check both tapes."
        )

    def _tape(self, tape: TapeResult) -> str:
        return f"from {self.names[tape.start]} to {self.names[tape.mark]}"

    def _length(self, feet: float) -> str:
        return format_length(feet, self.system)

    def _fine(self, feet: float) -> str:
        return format_length(feet, self.system, sixteenths=True)


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def names_of(marks: Sequence[tuple[str, str]]) -> dict[str, str]:
    """The name of each mark by key; one without a name is called by its number."""
    return {key: name or f"mark {number}" for number, (key, name) in enumerate(marks, 1)}
