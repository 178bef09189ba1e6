"""Which of a task's three rates a firm prices at, and the size of work they were learned on."""

from functools import lru_cache
from typing import Literal

from app.domain.basis import Firm, Task
from app.domain.errors import OutlayError
from app.domain.takeoff.buying import constant
from app.domain.units import TRADE_UNITS

Third = Literal["likely", "high"]
ENOUGH_JOBS = 3  # closed jobs of the firm's own, as for what is ordered of a finish (assumption)
FAR = 10.0  # times smaller or larger than what the hours were learned on: then it is said (assumption)
BY_THE_HOUR = "hour"  # planned hours are no size


def at_third(three: tuple[float, float, float], third: Third) -> float:
    """Low, likely, high to one: the likely one, or where the high third of the span begins (never below the likely).

    A new firm prices at the high third until it has hours of its own (assumption of this program).

    >>> round(at_third((0.05, 0.07, 0.11), "high"), 4), at_third((0.05, 0.07, 0.11), "likely")
    (0.09, 0.07)
    """
    low, likely, high = three
    return likely if third == "likely" else max(likely, low + (high - low) * 2 / 3)


def third_of(task: Task, firm: Firm) -> Third:
    """The usual pace where a task's hours come from enough closed jobs of the firm's own, else as the firm prices."""
    return "likely" if task.own_jobs >= ENOUGH_JOBS else firm.rate_third


@lru_cache(maxsize=1024)
def learned_size(text: str, unit: str) -> float | None:
    """The size a task was learned on, in its own unit; None where none is told or it cannot be read.

    >>> learned_size("200*foot**2", "foot**2"), learned_size("", "foot")
    (200.0, None)
    """
    if not text or unit not in TRADE_UNITS:
        return None
    try:
        return constant(text)[0] / TRADE_UNITS[unit].size
    except OutlayError:
        return None


def times_off(task: Task, amount: float) -> float:
    """How many times an amount [of the task's unit] is larger (above 1) or smaller (below 1) than what was learned on.

    1 where it is near enough, where nothing is told, and for planned hours.

    >>> times_off(Task(key="t", title="", unit="foot", hours=(1, 1, 1), learned_on="100*foot"), 5)
    0.05
    """
    size = learned_size(task.learned_on, task.unit)
    if not size or amount <= 0 or task.unit == BY_THE_HOUR:
        return 1.0
    times = amount / size
    return times if times * FAR < 1.0 or times > FAR else 1.0


def crew_size(firm: Firm) -> int:
    """People in a crew: by class where the firm says who is in it, else by head."""
    return (sum(firm.crew_day.people.values()) if firm.crew_day else 0) or firm.crew_size


def crew_day_hours(firm: Firm) -> float:
    """Person-hours of one paid day of the whole crew."""
    return float(firm.crew_day_hours) * crew_size(firm)
