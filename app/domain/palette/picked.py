"""The color of a stone taken from a photo, against a white card that lies beside it in the same light.

Each of red, green and blue is scaled so that the card comes out as white as such a card is. What stays uncertain is
said: how the camera bends color, and how evenly the card is lit.
"""

from dataclasses import dataclass
from math import hypot

from app.domain.errors import BadValue
from app.domain.palette.color import Lab, Linear, difference, hex_of_linear, lab_of_linear

CARD = 0.88  # share of the light that white paper or a white card gives back. Common practice, no source
CAMERA = 5.0  # ΔE by which a phone's own color may be off once white is right. Assumption
MOST_BURNED = 0.02  # share of the card's points that may be as bright as the picture can be
LEAST_CARD = 0.12  # of full light: a darker card tells too little
BRIGHTER = 1.08  # times the card: more is no stone beside it


@dataclass(frozen=True, slots=True)
class Patch:
    """The points around a tap: their mean as shares of light, how far they scatter, how many are burned out."""

    mean: Linear
    scatter: Linear  # standard deviation, shares of light
    burned: float  # share of the points


@dataclass(frozen=True, slots=True)
class Picked:
    """A color taken from a photo, how far it may be off [ΔE], and how far the stone's own points scatter."""

    color: str
    lab: Lab
    within: float
    uneven: float


def picked(card: Patch, stone: Patch) -> Picked:
    """The stone's color in daylight. Raises: BadValue where card or stone cannot be read so.

    >>> picked(Patch((0.44, 0.44, 0.44), (0, 0, 0), 0), Patch((0.22, 0.11, 0.11), (0, 0, 0), 0)).color
    '#b18181'
    """
    _check(card, stone)
    light = _against(stone.mean, card)
    lab = lab_of_linear(light)
    return Picked(
        color=hex_of_linear(light),
        lab=lab,
        within=hypot(CAMERA, _spread(card, card)),
        uneven=_spread(stone, card),
    )


def _check(card: Patch, stone: Patch) -> None:
    if card.burned > MOST_BURNED:
        raise BadValue(
            "The card is burned out where you tapped: it is as bright as the picture can be. Tap a duller place of it, "
            "or take the photo again a little darker.",
            field="white",
        )
    if min(card.mean) < LEAST_CARD:
        raise BadValue(
            "That is too dark to be a white card in this light. Tap the card, or take the photo again in even "
            "daylight.",
            field="white",
        )
    if any(part > white * BRIGHTER for part, white in zip(stone.mean, card.mean, strict=True)):
        raise BadValue(
            "The stone is brighter than the card there. Tap the card first, then the stone, both in the same light.",
            field="stone",
        )


def _against(light: Linear, card: Patch) -> Linear:
    red, green, blue = (min(part / white * CARD, 1.0) for part, white in zip(light, card.mean, strict=True))
    return red, green, blue


def _spread(patch: Patch, card: Patch) -> float:
    """How far points one standard deviation brighter and darker lie from the mean [ΔE]."""
    middle = lab_of_linear(_against(patch.mean, card))
    ends = []
    for sign in (-1, 1):
        red, green, blue = (max(m + sign * s, 0.0) for m, s in zip(patch.mean, patch.scatter, strict=True))
        ends.append(difference(middle, lab_of_linear(_against((red, green, blue), card))))
    return sum(ends) / 2
