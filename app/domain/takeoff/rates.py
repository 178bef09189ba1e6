"""Which of a task's three rates a firm prices at."""

from typing import Literal

from app.domain.basis import Firm

Third = Literal["likely", "high"]


def at_third(three: tuple[float, float, float], third: Third) -> float:
    """Low, likely, high to one: the likely one, or where the high third of the span begins (never below the likely).

    A new firm prices at the high third until it has hours of its own (assumption of this program).

    >>> round(at_third((0.05, 0.07, 0.11), "high"), 4), at_third((0.05, 0.07, 0.11), "likely")
    (0.09, 0.07)
    """
    low, likely, high = three
    return likely if third == "likely" else max(likely, low + (high - low) * 2 / 3)


def crew_size(firm: Firm) -> int:
    """People in a crew: by class where the firm says who is in it, else by head."""
    return (sum(firm.crew_day.people.values()) if firm.crew_day else 0) or firm.crew_size


def crew_day_hours(firm: Firm) -> float:
    """Person-hours of one paid day of the whole crew."""
    return float(firm.crew_day_hours) * crew_size(firm)
