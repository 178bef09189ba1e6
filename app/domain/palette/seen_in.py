"""Colors as they are seen when it has rained, and at dusk: simple models, said as such wherever they are shown.

Wet: water on a rough face sends part of what would come back into it again: R' = R / (n²(1 − R) + R), by each part of
the light. A face that is dense or sealed shows less of it. Source: Ångström, Geografiska Annaler 7, 1925, 323–342, as
told by Lekner and Dorf, Applied Optics 27(7), 1988, 1278–1280 (formula from memory); how much less: assumption.
Dusk: three tenths of the light, bluer, and four tenths of the color gone, as eyes see by little light. Assumption.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from app.domain.palette.color import Linear, hex_of_linear, linear_of

WATER = 1.33  # refractive index
SHOWS: Mapping[str, float] = {"": 1.0, "matt": 1.0, "satin": 0.5, "gloss": 0.0}  # of that effect, by sheen
EVENING: Linear = (0.24, 0.28, 0.36)  # of the light of day: red, green, blue
FADED = 0.4  # share of the color that is gone
AS_THE_EYE_WEIGHS: Linear = (0.2126, 0.7152, 0.0722)  # Source: ITU-R BT.709


@dataclass(frozen=True, slots=True)
class Look:
    """When something is looked at."""

    wet: bool = False
    dusk: bool = False

    @property
    def words(self) -> str:
        """How it is told: `dry, by day`."""
        return f"{'wet' if self.wet else 'dry'}, {'at dusk' if self.dusk else 'by day'}"


LOOKS = (Look(), Look(wet=True), Look(dusk=True), Look(wet=True, dusk=True))


@lru_cache(maxsize=4096)
def seen(color: str, sheen: str, look: Look) -> str:
    """A color [hex] as it is seen then.

    >>> seen("#808080", "", Look()), seen("#808080", "gloss", Look(wet=True))
    ('#808080', '#808080')
    """
    light = linear_of(color)
    if look.wet:
        shows = SHOWS.get(sheen, 1.0)
        light = _each(light, lambda part, _: part + (_wetted(part) - part) * shows)
    if look.dusk:
        gray = sum(part * weight for part, weight in zip(light, AS_THE_EYE_WEIGHS, strict=True))
        light = _each(light, lambda part, place: (part + (gray - part) * FADED) * EVENING[place])
    return hex_of_linear(light)


def _wetted(part: float) -> float:
    """Share of light that a rough face gives back when water lies on it.

    >>> round(_wetted(0.25), 3), _wetted(0.0), _wetted(1.0)
    (0.159, 0.0, 1.0)
    """
    return part / (WATER * WATER * (1 - part) + part)


def _each(light: Linear, change: Callable[[float, int], float]) -> Linear:
    red, green, blue = (change(part, place) for place, part in enumerate(light))
    return red, green, blue
