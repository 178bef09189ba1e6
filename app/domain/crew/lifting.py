"""What one piece weighs, where its size or the weight of its bag is known: who lifts it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from app.domain.basis import Material
from app.domain.errors import OutlayError
from app.domain.takeoff.buying import constant
from app.domain.units import LENGTH

ALONE = 50.0  # lb; Source: NIOSH lifting equation, 51 lb under ideal conditions
BY_TWO = 2 * ALONE  # lb; beyond it a machine, clamp or hoist. Common practice, no source
TOLD_FROM = 30.0  # lb; lighter pieces are not told. Common practice, no source
MASONRY = 150.0  # lb/cu ft, of concrete and stone whose own weight is not given; Source: ACI 318, normalweight concrete
ROUNDED = 5.0  # lb
_BAG = re.compile(r"\b(\d{2,3}) lb\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeavyPiece:
    """A piece or a bag worth telling: what it is, and about what it weighs [lb]; `per_foot`: cut to length."""

    title: str
    pounds: float
    per_foot: bool = False

    @property
    def people(self) -> int:
        """How many lift it: 1 or 2; 0 where a machine, clamp or hoist does."""
        return 1 if self.pounds <= ALONE else 2 if self.pounds < BY_TWO else 0


def heavy_pieces(materials: Iterable[Material]) -> tuple[HeavyPiece, ...]:
    """The pieces worth telling, the heaviest first, each once."""
    found = {one.key: piece_of(one) for one in materials}
    told = (one for one in found.values() if one and one.pounds >= TOLD_FROM)
    return tuple(sorted(told, key=lambda one: (-one.pounds, one.title)))


def piece_of(material: Material) -> HeavyPiece | None:
    """One piece of a material by its sides, or one bag by what is printed on it; None where neither is known.

    >>> slab = Material(key="slab", title="Slab", role="finish", buy="each", length="24*inch", width="24*inch",
    ...                 thickness="2*inch")
    >>> piece_of(slab)
    HeavyPiece(title='Slab', pounds=100.0, per_foot=False)
    >>> piece_of(Material(key="mix", title="Concrete mix, 80 lb bag", role="concrete", buy="bag")).pounds
    80.0
    """
    if material.buy == "bag":
        printed = _BAG.search(material.title)
        return HeavyPiece(title=material.title, pounds=float(printed[1])) if printed else None
    width, thick = _length(material.width), _length(material.thickness)
    per_foot = material.buy == "foot"
    long = 1.0 if per_foot else _length(material.length)
    if material.buy not in ("foot", "each") or not (width and thick and long):
        return None
    pounds = width * thick * long * (_density(material) or MASONRY)
    return HeavyPiece(title=material.title, pounds=round(pounds / ROUNDED) * ROUNDED, per_foot=per_foot)


def _length(text: str) -> float | None:
    value, dimension = _constant(text)
    return value if dimension == LENGTH else None


def _density(material: Material) -> float | None:
    return _constant(material.placed_density)[0]


def _constant(text: str) -> tuple[float | None, object]:
    try:
        return constant(text) if text else (None, None)
    except OutlayError:
        return None, None
