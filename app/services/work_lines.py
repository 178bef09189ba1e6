"""Works as a margin note shows them: price, hours, numbers that can be set, finishes by role; and recipes on offer."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Assembly, Basis, Material
from app.domain.costing.estimate import Estimate
from app.domain.costing.range import Range
from app.domain.job import Job, PlaceKind, Work
from app.domain.keeping import BoundedByIdentity, KeptByInputs, Same
from app.domain.takeoff.included import with_included
from app.domain.takeoff.laid import WITH_PATTERN
from app.services.sheets import Sheet
from app.services.work_numbers import ParameterLine, number_lines


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPrice:
    """What a part of the job sells for [cents]: a band until the whole price may be firm, then a point.

    While something in it has no price yet (`lacks`) it is a least, of which only the low end is told.
    """

    low: int
    high: int
    point: int | None
    hours: float
    lacks: bool = False

    @property
    def exact(self) -> int | None:
        """What is shown to the cent; None where a band is shown, at a glance."""
        return self.point if self.point is not None else self.low if self.low == self.high else None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleLine:
    """What fills a role of a work: the material, the others that could, and whether the client sees it."""

    role: str
    material: Material | None
    options: tuple[Material, ...]
    chosen_here: bool
    seen: bool

    @property
    def named_options(self) -> tuple[tuple[str, str], ...]:
        """Key and title of each material that could fill the role."""
        return tuple((material.key, material.title) for material in self.options)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkLine:
    """A work with its recipe's title, selling price and hours."""

    work: Work
    title: str
    known: bool
    cents: int  # selling price
    price: PartPrice
    hours: float
    finishes: tuple[RoleLine, ...]
    others: tuple[RoleLine, ...]
    parameters: tuple[ParameterLine, ...]
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A recipe on offer; `suits` where it is offered first."""

    key: str
    title: str
    suits: bool
    group: str = ""


def part_price(worked: Estimate, cents: int, hours: float, *places: str) -> PartPrice:
    """A part of the price as a page may show it; `places` are the works or the zone it is made of, by id."""
    band: Range = worked.band_of(cents)
    point = cents if worked.firm_price_cents is not None else None
    lacks = point is None and not worked.lacking.isdisjoint(places)
    return PartPrice(low=band.low, high=band.high, point=point, hours=hours, lacks=lacks)


def recipes_for(basis: Basis, measures: str, kind: str = "") -> tuple[Recipe, ...]:
    """Recipes that can be placed on a kind of place, those that suit it first."""
    return _OFFERED.get_or_make(
        (measures, kind), (Same(basis.assemblies),), lambda: _recipes_for(basis, measures, kind)
    )


_OFFERED: KeptByInputs[tuple[Recipe, ...]] = KeptByInputs(128)


def _recipes_for(basis: Basis, measures: str, kind: str) -> tuple[Recipe, ...]:
    fit = [one for one in basis.assemblies.values() if one.measures == measures]
    offered = [Recipe(key=one.key, title=one.title, suits=kind in one.suits, group=one.group) for one in fit]
    return tuple(sorted(offered, key=lambda one: (not one.suits, one.group if not one.suits else "", one.title)))


def for_the_whole_job(basis: Basis) -> tuple[tuple[str, str], ...]:
    """The recipes for the whole job by key and title, in the order of their keys; kept while the library stands."""
    kept = _FOR_THE_JOB.get(basis.assemblies)
    if kept is None:
        kept = tuple([(key, one.title) for key, one in sorted(basis.assemblies.items()) if one.measures == "job"])
        _FOR_THE_JOB.keep(basis.assemblies, kept)
    return kept


_FOR_THE_JOB: BoundedByIdentity[Mapping[str, Assembly], tuple[tuple[str, str], ...]] = BoundedByIdentity(16)


def works_at(job: Job, place: PlaceKind, place_id: UUID | None) -> Iterator[Work]:
    """The works of a place, in their order."""
    kept = _BY_PLACE.get(job.works)
    if kept is None:
        kept = _by_place(job.works)
        _BY_PLACE.keep(job.works, kept)
    return iter(kept.get((place, place_id), ()))


_BY_PLACE: BoundedByIdentity[tuple[Work, ...], Mapping[tuple[PlaceKind, UUID | None], tuple[Work, ...]]]
_BY_PLACE = BoundedByIdentity(64)


def _by_place(works: tuple[Work, ...]) -> Mapping[tuple[PlaceKind, UUID | None], tuple[Work, ...]]:
    found: dict[tuple[PlaceKind, UUID | None], tuple[Work, ...]] = {}
    for work in works:
        found[work.place, work.place_id] = (*found.get((work.place, work.place_id), ()), work)
    return found


def work_lines(view: Sheet, works: Iterable[Work]) -> tuple[WorkLine, ...]:
    """Works with all that a margin note says about them."""
    hours = view.estimate.hours_by_work
    return tuple(_work_line(view, work, hours.get(str(work.id), 0.0)) for work in works)


def _work_line(view: Sheet, work: Work, hours: float) -> WorkLine:
    basis = view.basis
    assembly = basis.assemblies.get(work.assembly)
    cents = view.estimate.price_by_work.get(str(work.id), 0)
    roles = tuple(role_lines(view.job, basis, work, assembly)) if assembly else ()
    return WorkLine(
        work=work,
        title=work.title or (assembly.title if assembly else work.assembly),
        known=assembly is not None,
        cents=cents,
        price=part_price(view.estimate, cents, hours, str(work.id)),
        hours=hours,
        finishes=tuple(role for role in roles if role.seen),
        others=tuple(role for role in roles if not role.seen and len(role.options) > 1),
        parameters=tuple(number_lines(view, work, assembly)) if assembly else (),
        findings=found_at(view, f"work:{work.id}"),
    )


def found_at(view: Sheet, where: str, *, but: str = "") -> tuple[str, ...]:
    """What is to settle at a place, with what to do about it; all but one rule where it is said elsewhere."""
    return tuple(f"{one.what} {one.remedy}".strip() for one in view.findings if one.where == where and one.rule != but)


def role_lines(job: Job, basis: Basis, work: Work, assembly: Assembly) -> Iterator[RoleLine]:
    """The roles of a work's recipe and of what it includes, each once."""
    chosen = chosen_for(job, work)
    for role, shipped in roles_of(assembly, basis).items():
        options = materials_of(basis, role)
        key = work.finishes.get(role) or chosen.get(role) or shipped
        yield RoleLine(
            role=role,
            material=basis.materials.get(key),
            options=options,
            chosen_here=role in work.finishes,
            seen=any(material.finish for material in options),
        )


def materials_of(basis: Basis, role: str) -> tuple[Material, ...]:
    """The materials that can fill a role, by title."""
    return tuple(sorted((one for one in basis.materials.values() if one.role == role), key=lambda one: one.title))


def roles_of(assembly: Assembly, basis: Basis) -> Mapping[str, str]:
    """Role → the recipe's own material, of an assembly and of all it includes; borders go with the pattern."""
    found: dict[str, str] = {}
    for recipe in with_included(basis.assemblies, assembly.key).values():
        for part in recipe.parts:
            if part.role not in WITH_PATTERN:
                found.setdefault(part.role, part.material)
    return found


def chosen_for(job: Job, work: Work) -> Mapping[str, str]:
    """What the client chose by role for the place of a work: for its zone before what holds everywhere."""
    zone_id = zone_of(job, work)
    everywhere = {one.role: one.material for one in job.choices if one.zone_id is None}
    return {**everywhere, **{one.role: one.material for one in job.choices if zone_id and one.zone_id == zone_id}}


def zone_of(job: Job, work: Work) -> UUID | None:
    """The zone a work lies in, where it lies in one."""
    zones = {
        thing.id: thing.zone_id for things in (job.alternatives, job.runs, job.features, job.edges) for thing in things
    }
    return zones.get(work.place_id) if work.place_id else None
