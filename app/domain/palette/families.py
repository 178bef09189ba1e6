"""Families of color: warm earth; gray, black and white; what is neither. What a whole job is, and what breaks it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from app.domain.basis import Rule
from app.domain.palette.color import hue, strength
from app.domain.palette.members import Member

Family = Literal["warm", "neutral", "cool"]
WORDS: Mapping[str, str] = {
    "warm": "warm earth colors",
    "neutral": "gray, black and white",
    "cool": "cool colors",
    "mixed": "a mix of warm and gray",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The figures of the rules of the palette; see `library/rules/palette.toml`."""

    share: float
    gray: float  # chroma
    warm_from: float  # degrees
    warm_to: float
    alike: float  # ΔE
    apart: float
    edge_least: float  # ft
    glare: float  # share of light
    hot: float  # solar reflectance index


NAMES: Mapping[str, str] = {
    "share": "palette-family-share",
    "gray": "palette-gray-chroma",
    "warm_from": "palette-warm-from",
    "warm_to": "palette-warm-to",
    "alike": "palette-alike",
    "apart": "palette-apart",
    "edge_least": "palette-edge-least",
    "glare": "palette-glare",
    "hot": "palette-hot",
}


def limits_of(rules: Mapping[str, Rule]) -> Limits | None:
    """The limits as the rules say; None where one of them is missing (a job from before there were any)."""
    if any(rule not in rules for rule in NAMES.values()):
        return None
    return Limits(**{name: rules[rule].value for name, rule in NAMES.items()})


def is_gray(member: Member, limits: Limits) -> bool:
    """Whether a color has too little of any hue to be told from gray."""
    return strength(member.lab) < limits.gray


def family_of(member: Member, limits: Limits) -> Family:
    """Of which family something is: as somebody typed it, else by its color."""
    if member.family in {"warm", "neutral", "cool"}:
        return member.family  # type: ignore[return-value]
    if is_gray(member, limits):
        return "neutral"
    return "warm" if limits.warm_from <= hue(member.lab) <= limits.warm_to else "cool"


def belongs(member: Member, family: str, limits: Limits) -> bool:
    """Whether something goes with a family. Gray goes with earth where nobody called it cool; blue-gray is gray."""
    own = family_of(member, limits)
    if family == "warm":
        return own in {"warm", "neutral"}
    return own == "neutral" or is_gray(member, limits)


def family_of_job(members: Sequence[Member], limits: Limits) -> str:
    """`warm`, `neutral`, `mixed`, or empty where no surface has a color yet; by the ground that each covers.

    What stands alone on its ground says it where nothing else is laid.
    """
    laid = [(one, one.area) for one in members if not one.fixed and one.area]
    weighed = laid or [(one, 1.0) for one in members if not one.fixed]
    whole = sum(weight for _, weight in weighed)
    if not whole:
        return ""
    warm = sum(weight for one, weight in weighed if family_of(one, limits) == "warm")
    gray = sum(
        weight for one, weight in weighed if family_of(one, limits) != "warm" and belongs(one, "neutral", limits)
    )
    if warm >= limits.share * whole:
        return "warm"
    return "neutral" if gray >= limits.share * whole else "mixed"
