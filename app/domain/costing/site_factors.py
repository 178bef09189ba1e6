"""How much a site slows work: factors computed from the site, one a cause. Assumptions until the firm has its own.

Source of the form: labor hours times a site factor is common practice; the figures are assumptions, shown as such.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from app.domain.job import Site


@dataclass(frozen=True, slots=True)
class SiteFactor:
    """One cause: hours are multiplied by `factor` for tasks that name it in `slows`; `table` says what gives which."""

    cause: str
    factor: float
    why: str
    table: str = ""


# (least value, factor): the last row that the site reaches counts
NARROW = ((0.0, 1.35), (3.0, 1.2), (5.0, 1.0))  # ft of the narrowest way in
FAR = ((0.0, 1.0), (60.0, 1.1), (150.0, 1.25), (300.0, 1.4))  # ft from the truck
STEEP = ((0.0, 1.0), (0.08, 1.1), (0.15, 1.25), (0.25, 1.45))  # rise over run
SOIL = {"sand": 1.0, "loam": 1.0, "fill": 1.1, "clay": 1.2, "rock": 1.6}
TOLD = {"easy": 1.0, "tight": 1.2, "hard": 1.35}  # as told on the first call, until the way in is measured


def site_factors(site: Site) -> Mapping[str, SiteFactor]:
    """The factors of a site by cause: access, haul, slope, soil. What is not known slows nothing, and says so."""
    return _factors(site.access, site.access_width, site.haul_distance, site.slope, site.soil)


@lru_cache(maxsize=256)
def _factors(
    told: str, width: float | None, haul: float | None, slope: float | None, soil: str
) -> Mapping[str, SiteFactor]:
    return {
        "access": _access(told, width),
        "haul": _stepped("haul", haul, FAR, "ft from the truck"),
        "slope": _stepped("slope", slope, STEEP, "rise over run"),
        "soil": SiteFactor("soil", SOIL.get(soil, 1.0), soil or "soil not known", _listed(SOIL)),
    }


def slowed(hours: float, slows: tuple[str, ...], factors: Mapping[str, SiteFactor]) -> float:
    """Hours with every factor that the task names. A cause without a figure of its own (heat) slows nothing yet."""
    for cause in slows:
        if cause in factors:
            hours *= factors[cause].factor
    return hours


def _access(told: str, width: float | None) -> SiteFactor:
    if width is not None:
        return _stepped("access", width, NARROW, "ft at the narrowest")
    why = f"told to be {told}" if told else "access not known"
    return SiteFactor("access", TOLD.get(told, 1.0), why, _listed(TOLD))


def _listed(factors: Mapping[str, float]) -> str:
    return ", ".join(f"{key}: × {factor:g}" for key, factor in factors.items())


def _stepped(cause: str, value: float | None, steps: tuple[tuple[float, float], ...], unit: str) -> SiteFactor:
    told = (f"{least:.0%}" if steps is STEEP else f"{least:g} ft" for least, _ in steps)
    table = ", ".join(f"from {least}: × {factor:g}" for least, (_, factor) in zip(told, steps, strict=True))
    if value is None:
        return SiteFactor(cause, 1.0, f"{cause} not known", table)
    reached = [factor for least, factor in steps if value >= least]
    return SiteFactor(cause, reached[-1] if reached else steps[0][1], f"{value:g} {unit}", table)
