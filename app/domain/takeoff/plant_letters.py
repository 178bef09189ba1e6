"""The letters by which a plan and its schedule name each species of a job: its genus and species, told apart."""

from collections.abc import Mapping

from app.domain.basis import Basis
from app.domain.job import Job
from app.domain.keeping import KeptByInputs, Same

_LETTERS: KeptByInputs[Mapping[str, str]] = KeptByInputs(64)


def plant_letters(job: Job, basis: Basis) -> Mapping[str, str]:
    """Letters by species: `EP` for Echinacea purpurea; with more letters of the species where two would be alike.

    They go by name, never by the order in which rows were added.
    """
    species = tuple(sorted({one.species for one in job.plantings}))
    return _LETTERS.get_or_make(job.head.id, (species, Same(basis.plants)), lambda: _letters(species, basis))


def _letters(species: tuple[str, ...], basis: Basis) -> Mapping[str, str]:
    found: dict[str, str] = {}
    for key in species:
        plant = basis.plants.get(key)
        named = (plant.botanical if plant else key).replace("-", " ").split()
        genus, second, *_ = (*(word.upper() for word in named if word[:1].isalpha()), "?", "")
        tries = [genus[:1] + second[:count] for count in range(1, len(second) + 1)] or [genus[:2]]
        found[key] = next((one for one in tries if one not in found.values()), f"{tries[0]}{len(found)}")
    return found
