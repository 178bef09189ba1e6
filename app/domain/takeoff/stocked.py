"""The plants of a job's lists as materials of its basis, by species and size.

One that book and library have no material for stands in at the price of its size, until it gets its own.
"""

from collections.abc import Collection, Iterator
from dataclasses import replace

from app.domain.basis import Basis, Material, Price
from app.domain.job import Job
from app.domain.keeping import KeptByInputs, Same
from app.domain.plant import material_key

Named = tuple[str, str, str]  # a species and a size, by key, and a variety, by name
_STOCKED: KeptByInputs[Basis] = KeptByInputs(64)


def stocked(basis: Basis, job: Job) -> Basis:
    """A basis with a material for every species and size on the job's lists; the very same where none is wanted."""
    if not job.plantings:
        return basis
    wanted = _wanted(job)
    return _STOCKED.get_or_make(job.head.id, (Same(basis), wanted), lambda: _stocked(basis, wanted))


def stand_in(basis: Basis, named: Named) -> Material | None:
    """What a species and size is priced by while it has no material of its own; None where it has, or nothing does."""
    plant, size = basis.plants.get(named[0]), basis.plant_sizes.get(named[1])
    if plant is None or size is None or material_key(*named) in basis.materials:
        return None
    return basis.materials.get(size.materials.get(plant.kind, ""))


def plant_material(basis: Basis, key: str) -> Material | None:
    """The material that a key of species, variety and size stands for, as the lists name it; None for no such plant."""
    for size in basis.plant_sizes.values():
        rest = key.removesuffix(f"-{size.key}")
        found = [one for one in basis.plants if rest == one or rest.startswith(f"{one}-")] if rest != key else []
        species = max(found, key=len, default="")
        by = basis.materials.get(size.materials.get(basis.plants[species].kind, "")) if species else None
        if by is not None:
            variety = rest[len(species) + 1 :].replace("-", " ").title()
            return replace(by, key=key, title=_title(basis, (species, size.key, variety)))
    return None


def with_plants(keys: Collection[str], basis: Basis, job: Job) -> set[str]:
    """Keys of prices, and of the plants on a job's lists that go by one of them."""
    found = ((named, stand_in(basis, named)) for named in _wanted(job))
    return {*keys, *(material_key(*named) for named, by in found if by and by.key in keys)}


def _wanted(job: Job) -> tuple[Named, ...]:
    return tuple(sorted({(one.species, one.size, one.variety) for one in job.plantings}))


def _stocked(basis: Basis, wanted: Collection[Named]) -> Basis:
    made = list(_materials(basis, wanted))
    if not made:
        return basis
    materials = {material.key: material for material, _ in made}
    prices = {price.material: price for _, price in made if price}
    return replace(basis, materials={**basis.materials, **materials}, prices={**basis.prices, **prices})


def _materials(basis: Basis, wanted: Collection[Named]) -> Iterator[tuple[Material, Price | None]]:
    for named in wanted:
        by = stand_in(basis, named)
        if by is None:
            continue
        key = material_key(*named)
        price = basis.prices.get(key) or basis.prices.get(by.key)
        yield replace(by, key=key, title=_title(basis, named)), replace(price, material=key) if price else None


def _title(basis: Basis, named: Named) -> str:
    plant, size = basis.plants[named[0]], basis.plant_sizes[named[1]]
    variety = f" “{named[2]}”" if named[2] else ""
    return f"{plant.botanical}{variety} ({plant.common}), {size.title}"
