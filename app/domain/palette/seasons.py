"""What the planting shows by season: which plants bloom when, and what stays green over winter; by the plant table."""

from collections.abc import Mapping

from app.domain.basis import Basis
from app.domain.job import Job, only_included

SEASONS: Mapping[str, tuple[int, ...]] = {  # months, as the weather services of the north count them
    "Spring": (3, 4, 5),
    "Summer": (6, 7, 8),
    "Fall": (9, 10, 11),
    "Winter": (12, 1, 2),
}
GREEN = "Green all winter"


def by_season(job: Job, basis: Basis) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The plants of the beds that are built, by the season they bloom in, with those that stay green; no empty ones."""
    ways = {way.id for way in only_included(job).chosen_by_zone().values()}
    keys = dict.fromkeys(row.species for row in job.plantings if row.alternative_id in ways)
    plants = [basis.plants[key] for key in keys if key in basis.plants]
    found = [
        (season, tuple(sorted(one.common for one in plants if set(one.bloom) & set(months))))
        for season, months in SEASONS.items()
    ]
    found.append((GREEN, tuple(sorted(one.common for one in plants if one.evergreen))))
    return tuple((season, names) for season, names in found if names)
