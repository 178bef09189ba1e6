"""A plant of the table: what a species grows to and wants; and the sizes in which plants are bought.

Lengths in feet but for `spacing` [in]. What the table does not say of harm is not known to be harmless.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from app.domain.errors import BadValue

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
HARMS = ("eaten", "skin")  # how a plant may be known to harm
HIGHEST, WIDEST = 400.0, 200.0  # ft: no tree grows beyond. Source: from memory, unverified
LEAST_SPACING, MOST_SPACING = 2.0, 720.0  # in: as beds are planted
ZONES = (1, 13)  # USDA plant hardiness zones. Source: USDA Plant Hardiness Zone Map, 2023
MOST_COLORS = 8
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
    colors: tuple[str, ...] = ()  # of its bloom, in plain words; empty: not said

    @property
    def band(self) -> str:
        """The band of height it grows to."""
        return next((name for name, below in BANDS if self.height[1] < below), HIGHEST_BAND)


def band_names() -> tuple[str, ...]:
    """The bands of height, the lowest first."""
    return (*(name for name, _ in BANDS), HIGHEST_BAND)


def refuse_unsound(plant: Plant) -> None:
    """Refuse a row that no bed could be planted by. Raises: BadValue, beside the field it speaks of (`height.least` …).

    Sources: the zones are the USDA's; bounds of sizes from memory, unverified, wide enough for any plant.
    """
    for field_name, sentence in _faults(plant):
        raise BadValue(sentence, field=field_name)


def _faults(plant: Plant) -> Iterator[tuple[str, str]]:
    if not re.match(r"[A-Z][a-zë-]+ [×x]?\s?[A-Za-z'‘“.-]+", plant.botanical):
        yield "botanical", "A botanical name has two words, the genus first with a capital: Echinacea purpurea."
    yield from _span_faults("height", "high", plant.height, HIGHEST)
    yield from _span_faults("spread", "wide", plant.spread, WIDEST)
    if not LEAST_SPACING <= plant.spacing <= MOST_SPACING:
        yield "spacing", f"{plant.spacing:.4g} in apart was understood; plants stand 2 in to 60 ft apart."
    coldest, warmest = plant.zones
    if not ZONES[0] <= coldest <= warmest <= ZONES[1]:
        yield "zones.coldest", f"Zones {coldest} to {warmest} were typed; USDA zones go from 1 to 13, the colder first."
    if not plant.sun:
        yield "sun", "Tick at least one: full sun, part sun or shade. Its place on the plan is checked by it."
    if not plant.source.strip():
        yield "source", "Say where these figures come from: a book, a grower's list, or what you have seen yourself."


def _span_faults(name: str, way: str, span: tuple[float, float], most: float) -> Iterator[tuple[str, str]]:
    least, grown = span
    if least <= 0:
        yield f"{name}.least", f"It cannot grow {least:.4g} ft {way}. Type the least it grows to."
    elif not least <= grown:
        yield f"{name}.most", f"It grows {least:.4g} ft {way} at least, so not {grown:.4g} ft at most."
    elif grown > most:
        yield f"{name}.most", f"{grown:.4g} ft {way} is more than any plant grows; {most:.4g} ft is the most."


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
