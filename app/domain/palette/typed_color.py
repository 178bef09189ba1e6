"""Colors as people type them: `#b07a52`, `Lab 52 12 24`, a Munsell chip (`10YR 5/4`), blends with shares."""

import re
from collections.abc import Mapping

from app.domain.errors import BadValue
from app.domain.palette.color import Lab, hex_of, is_color, mean_of
from app.domain.palette.munsell import CHIP, Chips, chip_lab

_HEX = re.compile(r"#?([0-9a-f]{6}|[0-9a-f]{3})", re.IGNORECASE)
_NUMBER = r"([-−+]?\d+(?:\.\d+)?)"
_LAB = re.compile(rf"(?:lab|cielab)[\s:(]*{_NUMBER}[\s,;/]+{_NUMBER}[\s,;/]+{_NUMBER}\s*\)?", re.IGNORECASE)
_PART = re.compile(r"[\s,;]*(.*?)\s+(\d+(?:[.,]\d+)?)\s*%", re.DOTALL)
MOST_COLORS = 8
HOW = "Type #b07a52, Lab 52 12 24, or a Munsell chip such as 10YR 5/4."


def typed_color(text: str, chips: Chips) -> str:
    """A typed color as hex. Raises: BadValue.

    >>> typed_color("B07A52", Chips()), typed_color("lab 100 0 0", Chips())
    ('#b07a52', '#ffffff')
    """
    said = text.strip()
    if found := _HEX.fullmatch(said):
        digits = found[1].lower()
        return "#" + (digits if len(digits) == 6 else "".join(digit * 2 for digit in digits))
    if found := _LAB.fullmatch(said):
        return hex_of(_in_range(*(float(part.replace("−", "-")) for part in found.groups())))
    if CHIP.fullmatch(said):
        return hex_of(chip_lab(said, chips))
    raise BadValue(f"“{said[:40]}” is no color known here. {HOW}")


def _in_range(lightness: float, a: float, b: float) -> Lab:
    if not 0 <= lightness <= 100 or max(abs(a), abs(b)) > 128:
        raise BadValue(f"Lab {lightness:g} {a:g} {b:g}: L lies between 0 and 100, a and b between −128 and 128.")
    return lightness, a, b


def typed_blend(text: str, chips: Chips) -> Mapping[str, float]:
    """Several colors with their shares: `#b07a52 60%, #d9c7a0 40%`; hex to share, adding up to 1. Empty: no blend.

    Raises: BadValue on a part without a share, shares that do not add up to 100%, too many colors.
    >>> dict(typed_blend("#b07a52 60%, #d9c7a0 40%", Chips()))
    {'#b07a52': 0.6, '#d9c7a0': 0.4}
    """
    blend: dict[str, float] = {}
    end = 0
    for found in _PART.finditer(text):
        color = typed_color(found[1], chips)
        blend[color] = blend.get(color, 0.0) + float(found[2].replace(",", ".")) / 100
        end = found.end()
    if rest := text[end:].strip(" \n,;"):
        raise BadValue(f"“{rest[:40]}” has no share. Type each color with its share: #b07a52 60%, #d9c7a0 40%.")
    if not blend:
        return {}
    whole = sum(blend.values())
    if len(blend) > MOST_COLORS:
        raise BadValue(f"A blend of {len(blend)} colors; {MOST_COLORS} at most. Leave out the smallest.")
    if abs(whole - 1) > 0.005:
        raise BadValue(f"The shares add up to {whole * 100:g}%, not to 100%. Correct one of them.")
    return {color: share / whole if whole != 1 else share for color, share in blend.items()}


def blend_words(blend: Mapping[str, float]) -> str:
    """A blend as it is typed.

    >>> blend_words({"#b07a52": 0.6, "#d9c7a0": 0.4})
    '#b07a52 60%, #d9c7a0 40%'
    """
    return ", ".join(f"{color} {round(share * 100, 1):g}%" for color, share in blend.items())


def seen_as(color: str, blend: Mapping[str, float]) -> str:
    """The one color something is seen as: its own, else that of its blend; empty where neither is known."""
    if is_color(color):
        return color
    known = {one: share for one, share in blend.items() if is_color(one) and share > 0}
    return mean_of(known) if known else ""
