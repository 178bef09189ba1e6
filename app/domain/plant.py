"""A plant of the table: what a species grows to and wants; and the sizes in which plants are bought.

Lengths in feet but for `spacing` [in]. What the table does not say of harm is not known to be harmless.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

KINDS: Mapping[str, str] = {
    "tree": "Trees",
    "shrub": "Shrubs",
    "perennial": "Perennials",
    "grass": "Grasses and sedges",
    "fern": "Ferns",
    "groundcover": "Groundcovers",
    "vine": "Vines",
    "bulb": "Bulbs",
}
SUN: Mapping[str, str] = {"full": "full sun", "part": "part sun", "shade": "shade"}
WATER = ("low", "medium", "high")
PATTERNS: Mapping[str, str] = {"triangular": "triangular", "square": "square", "placed": "placed one by one"}
BANDS: tuple[tuple[str, float], ...] = (  # by grown height, below this many ft. Assumption
    ("ground", 1.0),
    ("low", 2.0),
    ("middle", 4.0),
    ("tall", 8.0),
)
HIGHEST_BAND = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant:
    """A species: `height` and `spread` when grown [ft, least and most], `spacing` [in] in a bed, USDA `zones`.

    `people`, `pets`: how it is known to harm ("eaten", "skin", "eaten, skin"); empty says nothing either way.
    """

    key: str
    botanical: str
    common: str
    kind: str
    height: tuple[float, float]
    spread: tuple[float, float]
    spacing: float
    sun: tuple[str, ...]
    water: str
    zones: tuple[int, int]
    source: str
    spanish: str = ""
    bloom: tuple[int, ...] = ()
    evergreen: bool = False
    people: str = ""
    pets: str = ""
    native: str = ""

    @property
    def band(self) -> str:
        """The band of height it grows to."""
        return next((name for name, below in BANDS if self.height[1] < below), HIGHEST_BAND)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantSize:
    """A size in which plants are bought: by container [trade gallons] or by trunk [in].

    `ball` and `deep` [in] are its root ball, `weight` [lb] what one weighs wet; `materials` name by kind of plant what
    stands in for its price. `emitters` of `flow` [gallons an hour] water one.
    """

    key: str
    title: str
    ball: float
    deep: float
    weight: float
    task: str
    emitters: int
    flow: float
    source: str
    gallons: float = 0.0
    trunk: float = 0.0
    position: int = 0
    materials: Mapping[str, str] = field(default_factory=dict)


def material_key(species: str, size: str, variety: str = "") -> str:
    """The key of a species, or a named variety of it, in a size: by this library and price book know it.

    >>> material_key("echinacea-purpurea", "1-gal"), material_key("acer-palmatum", "7-gal", "Osakazuki")
    ('echinacea-purpurea-1-gal', 'acer-palmatum-osakazuki-7-gal')
    """
    named = re.sub(r"[^a-z0-9]+", "-", variety.casefold()).strip("-")
    return "-".join(word for word in (species, named, size) if word)


def sizes_for(kind: str, sizes: Mapping[str, PlantSize]) -> tuple[PlantSize, ...]:
    """The sizes in which a kind of plant is bought, smallest first."""
    found = (one for one in sizes.values() if kind in one.materials)
    return tuple(sorted(found, key=lambda one: (one.position, one.key)))


def usual_size(kind: str, sizes: Mapping[str, PlantSize]) -> str:
    """The size that is offered first: the middle one of those there are; empty for a kind without any."""
    found = sizes_for(kind, sizes)
    return found[len(found) // 2].key if found else ""
