"""A basis cut down to what one job uses: what a job file and a revision carry."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TypeVar

from app.domain.basis import Assembly, Basis
from app.domain.job import Job
from app.domain.plant import material_key
from app.domain.takeoff.included import with_included

T = TypeVar("T")


def trimmed(basis: Basis, job: Job) -> Basis:
    """The part of a basis that a job uses, so that it computes the same.

    Assemblies of all its works (also on alternatives not chosen) with what they include; the materials of their parts
    and of every choice; their prices and suppliers; their tasks with who does them; the owner's own labor classes; all
    rules, and the firm.
    """
    assemblies = _assemblies(basis, {work.assembly for work in job.works})
    parts = {part.material for assembly in assemblies.values() for part in assembly.parts}
    sizes = {one.size for one in job.plantings}
    planted = {material_key(one.species, one.size, one.variety) for one in job.plantings}
    finishes = {material for work in job.works for material in work.finishes.values()}
    materials = parts | planted | finishes | {choice.material for choice in job.choices}
    tasks = _among(basis.tasks, _tasks(basis, assemblies, sizes))
    prices = _among(basis.prices, materials)
    crews = {task.crew for task in tasks.values()}
    own = {key for key, labor in basis.labor_classes.items() if labor.own}
    return replace(
        basis,
        assemblies=assemblies,
        materials=_among(basis.materials, materials),
        tasks=tasks,
        prices=prices,
        plants=_among(basis.plants, {one.species for one in job.plantings}),
        plant_sizes=_among(basis.plant_sizes, sizes),
        subcontractors=_among(basis.subcontractors, {quote.subcontractor for quote in job.quotes}),
        suppliers=_among(basis.suppliers, {price.supplier for price in prices.values()}),
        labor_classes=_among(basis.labor_classes, crews | own),
    )


def _assemblies(basis: Basis, keys: Collection[str]) -> Mapping[str, Assembly]:
    """Assemblies by key, and all that they include, however deep."""
    found = {name for key in keys for name in with_included(basis.assemblies, key)}
    return _among(basis.assemblies, found)


def _tasks(basis: Basis, assemblies: Mapping[str, Assembly], sizes: Collection[str]) -> set[str]:
    planting = {basis.plant_sizes[key].task for key in sizes if key in basis.plant_sizes}
    return planting | {use.task for assembly in assemblies.values() for use in assembly.tasks}


def _among(held: Mapping[str, T], keys: Collection[str]) -> dict[str, T]:
    return {key: value for key, value in held.items() if key in keys}
