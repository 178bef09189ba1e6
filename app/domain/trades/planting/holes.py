"""What is dug for a plant and filled again, and how its root ball is lifted.

A hole is as deep as the ball or a little less: the crown or root flare stands at or just above the ground.
"""

from dataclasses import dataclass
from math import pi

WIDE = 3.0  # times the ball: Colorado State University Extension, GardenNotes 633
SHALLOW = 1.0  # in that a woody plant's hole is less deep than its ball: same source, 1 to 2 in
ONE_PERSON = 50.0  # lb that one person carries without help: common practice, no source
TWO_PEOPLE = 100.0  # lb that two carry; above it a cart, a ball hook or a machine. Common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole [in]; `dug` [cu ft] is taken out, `filled` goes back around the ball, `over` is left."""

    across: float
    deep: float
    dug: float
    filled: float

    @property
    def over(self) -> float:
        """What is left of the soil [cu ft]."""
        return self.dug - self.filled


def hole_for(ball: float, deep: float, *, wide: float = WIDE, shallow: float = 0.0, saucer: bool = False) -> Hole:
    """The hole for a ball [in across, in deep], `wide` times as wide and `shallow` [in] less deep than it.

    Straight-sided, or a saucer that narrows to the ball at its bottom. Volumes are exact for cylinder and frustum; a
    ball counts as a cylinder, so that a tapered one leaves a little more to fill. Source: geometry; widths Colorado
    State University Extension, GardenNotes 633.

    >>> round(hole_for(24, 16).filled, 1)
    33.5
    """
    across, down = ball * wide, max(deep - shallow, 0.0)
    top, bottom = across / 24, ball / 24
    area = pi * (top**2 + top * bottom + bottom**2) / 3 if saucer else pi * top**2
    dug = area * down / 12
    filled = max(0.0, dug - pi * bottom**2 * down / 12)
    return Hole(across=across, deep=down, dug=dug, filled=filled)


def lifting_words(weight: float) -> str:
    """How a ball of a weight [lb] is moved, in words; empty where one person carries it."""
    if weight <= ONE_PERSON:
        return ""
    if weight <= TWO_PEOPLE:
        return "Two people lift it, by the ball or the pot and never by the stem."
    return "A ball cart, hook or machine moves it, by the ball and never by the trunk. Nobody stands below it."
