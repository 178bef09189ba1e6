"""Colors as numbers: hex and CIE Lab, how far two lie apart, mixtures, how light and how strong a color is.

All is for daylight (D65, 2° observer). A difference is CIEDE2000; the conversions are the color library's.
"""

import re
from collections.abc import Mapping
from functools import lru_cache
from math import atan2, degrees, hypot
from typing import Any

Lab = tuple[float, float, float]  # L* 0 (black) to 100 (white), a* green to red, b* blue to yellow
Linear = tuple[float, float, float]  # red, green, blue as shares of full light, not as a screen codes them


_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def is_color(text: str) -> bool:
    """Whether a text is a color in hex: what came in a file may be anything.

    >>> is_color("#b07a52"), is_color("sand")
    (True, False)
    """
    return _HEX.fullmatch(text) is not None


def _made(space: str, coordinates: tuple[float, float, float]) -> Any:
    from coloraide import Color

    return Color(space, list(coordinates))


@lru_cache(maxsize=4096)
def lab_of(color: str) -> Lab:
    """A hex color as Lab.

    Raises: ValueError on what is no color. Source: CIE 15 (Lab), IEC 61966-2-1 (sRGB).
    >>> [round(part, 1) for part in lab_of("#808080")]
    [53.6, 0.0, 0.0]
    """
    from coloraide import Color

    lightness, a, b = Color(color).convert("lab-d65").coords()
    return lightness, a, b


@lru_cache(maxsize=4096)
def hex_of(lab: Lab) -> str:
    """A Lab color as hex; what a screen cannot show is brought to the nearest it can.

    >>> hex_of(lab_of("#b07a52"))
    '#b07a52'
    """
    return str(_made("lab-d65", lab).convert("srgb").to_string(hex=True))


@lru_cache(maxsize=4096)
def linear_of(color: str) -> Linear:
    """A hex color as shares of light."""
    from coloraide import Color

    red, green, blue = Color(color).convert("srgb-linear").coords()
    return red, green, blue


@lru_cache(maxsize=4096)
def hex_of_linear(light: Linear) -> str:
    """Shares of light as hex; below none and above all is cut off."""
    held = tuple(min(max(part, 0.0), 1.0) for part in light)
    return str(_made("srgb-linear", (held[0], held[1], held[2])).convert("srgb").to_string(hex=True))


def lab_of_linear(light: Linear) -> Lab:
    """Shares of light as Lab."""
    lightness, a, b = _made("srgb-linear", light).convert("lab-d65").coords()
    return lightness, a, b


@lru_cache(maxsize=16384)
def difference(one: Lab, other: Lab) -> float:
    """How far two colors lie apart, ΔE by CIEDE2000 with all weights 1: about 1 is just seen side by side.

    Source: Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, 21–30.
    >>> round(difference((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485)), 4)
    2.0425
    """
    return float(_made("lab-d65", one).delta_e(_made("lab-d65", other), method="2000"))


def strength(lab: Lab) -> float:
    """Chroma C*ab: 0 is gray. Source: CIE 15."""
    return hypot(lab[1], lab[2])


def hue(lab: Lab) -> float:
    """Hue angle [degrees, 0 to 360]: about 40 red-brown, 70 tan, 90 yellow, 180 green, 270 blue. Source: CIE 15."""
    return degrees(atan2(lab[2], lab[1])) % 360


def reflectance(lab: Lab) -> float:
    """Share of the light a surface gives back as the eye weighs it (Y from L*). Source: CIE 15.

    >>> reflectance((100.0, 0.0, 0.0)), round(reflectance((50.0, 0.0, 0.0)), 3)
    (1.0, 0.184)
    """
    lightness = lab[0]
    return float(((lightness + 16) / 116) ** 3 if lightness > 8 else lightness * 27 / 24389)


def mean_of(blend: Mapping[str, float]) -> str:
    """The color that a blend of hex colors with shares has from afar: its light is mixed, not its codes.

    >>> mean_of({"#808080": 1.0})
    '#808080'
    """
    whole = sum(blend.values())
    parts = [(linear_of(color), share / whole) for color, share in blend.items()]
    red, green, blue = (sum(light[place] * share for light, share in parts) for place in range(3))
    return hex_of_linear((red, green, blue))
