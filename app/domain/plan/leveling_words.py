"""What the rod readings give, in words."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.plan.leveling import Leveling
from app.domain.units import System, format_length


@dataclass(frozen=True, slots=True)
class LevelingWords:
    """The sentences of a leveling whose marks and setups have these names, in the firm's units."""

    leveling: Leveling
    marks: Mapping[str, str]
    setups: Mapping[str, str]
    system: System = "feet"

    def summary(self) -> str:
        """How many levels there are, and whether what was read twice agrees."""
        found = self.leveling
        if not found.heights:
            return "No levels from the rod yet."
        read = sum(1 for one in found.levels.values() if one.read)
        said = f"{read} {'level' if read == 1 else 'levels'} read from {_setups(len(found.heights))}."
        if found.closure is None:
            return f"{said} Nothing was read twice, so nothing checks them: read the benchmark again at the end."
        close = self._fine(found.closure)
        if found.closes:
            shared = ". What is left is shared among the readings" if found.closure else ""
            return f"{said} What was read twice agrees within {close}; {self._fine(found.limit)} is allowed{shared}."
        return f"{said} {self.open_loop()}"

    def open_loop(self) -> str:
        """What does not close, where, and what to do; empty where all closes."""
        found = self.leveling
        if found.closure is None or found.closes:
            return ""
        return (
            f"The levels of {self.marks[found.worst]} lie {self._fine(found.closure)} apart, more than the "
            f"{self._fine(found.limit)} allowed. Nothing is shared out. Read that loop again."
        )

    def without_height(self) -> tuple[str, ...]:
        """The setups whose height is not known, each with what it lacks."""
        missing = [name for key, name in self.setups.items() if key not in self.leveling.heights]
        return tuple(
            f"{name} saw no mark of known level. Say which one, and what the rod read there." for name in missing
        )

    def _fine(self, feet: float) -> str:
        return format_length(feet, self.system, sixteenths=True)


def _setups(count: int) -> str:
    return "1 setup" if count == 1 else f"{count} setups"
