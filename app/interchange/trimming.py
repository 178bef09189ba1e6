"""A basis cut down to what one job uses: what a job file and a revision carry."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TypeVar

from app.domain.basis import Assembly, Basis
from app.domain.job import Job
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
    finishes = {material for work in job.works for material in work.finishes.values()}
    materials = parts | finishes | {choice.material for choice in job.choices}
    tasks = _among(basis.tasks, {use.task for assembly in assemblies.values() for use in assembly.tasks})
    prices = _among(basis.prices, materials)
    crews = {task.crew for task in tasks.values()}
    own = {key for key, labor in basis.labor_classes.items() if labor.own}
    return replace(
        basis,
        assemblies=assemblies,
        materials=_among(basis.materials, materials),
        tasks=tasks,
        prices=prices,
        subcontractors=_among(basis.subcontractors, {quote.subcontractor for quote in job.quotes}),
        suppliers=_among(basis.suppliers, {price.supplier for price in prices.values()}),
        labor_classes=_among(basis.labor_classes, crews | own),
    )


def _assemblies(basis: Basis, keys: Collection[str]) -> Mapping[str, Assembly]:
    """Assemblies by key, and all that they include, however deep."""
    found = {name for key in keys for name in with_included(basis.assemblies, key)}
    return _among(basis.assemblies, found)


def _among(held: Mapping[str, T], keys: Collection[str]) -> dict[str, T]:
    return {key: value for key, value in held.items() if key in keys}
