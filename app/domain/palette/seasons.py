"""What the planting shows by season: which plants bloom when and in which colors, and what stays green over winter."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.job import Job, only_included
from app.domain.palette.bloom_colors import named_only

SEASONS: Mapping[str, tuple[int, ...]] = {  # months, as the weather services of the north count them
    "Spring": (3, 4, 5),
    "Summer": (6, 7, 8),
    "Fall": (9, 10, 11),
    "Winter": (12, 1, 2),
}
GREEN = "Green all winter"


@dataclass(frozen=True, slots=True)
class Showing:
    """A plant in a season: its common name, the colors of its bloom in words; none where the table says none."""

    name: str
    colors: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """Its colors, as they are told."""
        return ", ".join(named_only(color) for color in self.colors)


def by_season(job: Job, basis: Basis) -> tuple[tuple[str, tuple[Showing, ...]], ...]:
    """The plants of the beds that are built, by the season they bloom in, with those that stay green; no empty ones."""
    ways = {way.id for way in only_included(job).chosen_by_zone().values()}
    keys = dict.fromkeys(row.species for row in job.plantings if row.alternative_id in ways)
    plants = sorted((basis.plants[key] for key in keys if key in basis.plants), key=lambda one: one.common)
    found = [
        (season, tuple(Showing(one.common, one.colors) for one in plants if set(one.bloom) & set(months)))
        for season, months in SEASONS.items()
    ]
    found.append((GREEN, tuple(Showing(one.common) for one in plants if one.evergreen)))
    return tuple((season, shown) for season, shown in found if shown)
