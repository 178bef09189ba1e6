"""The palette: which finishes the client sees, where each lies and how much of it; choosing one, in one change."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID, uuid4

from app.domain.basis import Basis, Material
from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import Choice, Job, PlaceKind, Work, Zone
from app.domain.plan.measures import area
from app.services import jobs
from app.services.jobs import OpenJob, Order, changed, made, removal
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.work_lines import chosen_for, materials_of, roles_of, zone_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """A finish role on one work: in which zone it lies, what fills it, and the choice behind it, if one was made."""

    role: str
    zone: Zone | None
    work: Work
    title: str
    material: Material | None
    choice: Choice | None
    area: float  # sq ft of the zone where it is a zone's surface, else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A material that could be chosen."""

    material: Material
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """One material of a role as it was chosen, and all works it lies in; the choice is None while nobody chose."""

    material: Material | None
    choice: Choice | None
    uses: tuple[Use, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleCard:
    """A finish role: where it occurs, and what can be chosen. `lead_days` of what is in place, the longest."""

    role: str
    uses: tuple[Use, ...]
    options: tuple[Option, ...]
    open_uses: int
    lead_days: int
    zones: tuple[Zone, ...]

    @property
    def lying(self) -> tuple[Lying, ...]:
        """What lies there, each material once a choice, in the order of its first place."""
        found: dict[tuple[str, UUID | None], list[Use]] = {}
        for use in self.uses:
            key = (use.material.key if use.material else "", use.choice.id if use.choice else None)
            found.setdefault(key, []).append(use)
        return tuple(Lying(material=own[0].material, choice=own[0].choice, uses=tuple(own)) for own in found.values())


def palette(view: Sheet) -> tuple[RoleCard, ...]:
    """Every finish role of the job, the ones with something still to choose first."""
    by_role: dict[str, list[Use]] = {}
    for use in uses(view.job, view.basis):
        by_role.setdefault(use.role, []).append(use)
    cards = [_card(view.basis, role, tuple(found)) for role, found in by_role.items()]
    return tuple(sorted(cards, key=lambda card: (not card.open_uses, -sum(use.area for use in card.uses), card.role)))


def _card(basis: Basis, role: str, found: tuple[Use, ...]) -> RoleCard:
    lying = {use.material.key for use in found if use.material}
    zones = {use.zone.id: use.zone for use in found if use.zone}
    return RoleCard(
        role=role,
        uses=found,
        options=tuple(Option(material=one, chosen=one.key in lying) for one in materials_of(basis, role)),
        open_uses=sum(use.choice is None for use in found),
        lead_days=max((use.material.lead_days for use in found if use.material), default=0),
        zones=tuple(zones.values()),
    )


def uses(job: Job, basis: Basis) -> Iterator[Use]:
    """Each finish role of each work that is priced."""
    places = {one.id: one for zone in job.zones if (one := job.chosen(zone)) is not None}
    zones = {zone.id: zone for zone in job.zones}
    for work in job.works:
        assembly = basis.assemblies.get(work.assembly)
        way = places.get(work.place_id) if work.place_id else None
        if assembly is None or (work.place is PlaceKind.ALTERNATIVE and way is None):
            continue
        zone_id = zone_of(job, work)
        for role, shipped in roles_of(assembly, basis).items():
            if not any(material.finish for material in materials_of(basis, role)):
                continue
            key = work.finishes.get(role) or chosen_for(job, work).get(role) or shipped
            material = basis.materials.get(key)
            yield Use(
                role=role,
                zone=zones.get(zone_id) if zone_id else None,
                work=work,
                title=work.title or assembly.title,
                material=material,
                choice=choice_of(job, role, zone_id, key),
                area=area(way.outline) if way and way.outline else 0.0,
            )


def choice_of(job: Job, role: str, zone_id: UUID | None, material: str) -> Choice | None:
    """The recorded choice that stands behind a material in a zone: the zone's own before the one for everywhere."""
    own = [one for one in job.choices if one.role == role and one.material == material]
    return next((one for one in own if one.zone_id == zone_id), next((one for one in own if one.zone_id is None), None))


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What was chosen: the material of a role, in one zone or (None) everywhere, by whom, when, from which sample."""

    role: str
    material: str
    zone_id: UUID | None = None
    chosen_on: date | None = None
    chosen_by: str = ""
    sample: str = ""


def next_open(cards: Sequence[RoleCard], after: RoleCard) -> RoleCard | None:
    """The finish to choose next: the same where it is still open somewhere, else the next one down the page."""
    at = cards.index(after)
    return next((card for card in (*cards[at:], *cards[:at]) if card.open_uses), None)


def choose(office: Office, job_id: UUID, chosen: Chosen, order: Order) -> UUID:
    """Record a choice and put it into every work it holds for, in one change. Returns the choice's id.

    Everywhere means everywhere: choices of that role for single zones give way.
    Raises: BadValue where the material is not of that role, or nothing in the job uses the role.
    """
    opened = jobs.open_job(office, job_id)
    material = opened.basis.materials.get(chosen.material)
    if material is None or material.role != chosen.role:
        raise BadValue("That material cannot be used there. Choose one of the list.", field="material")
    holds = [use for use in uses(opened.job, opened.basis) if use.role == chosen.role and _within(use, chosen.zone_id)]
    if not holds:
        raise BadValue("Nothing there needs this finish (any more). Open the palette afresh.", field="zone_id")
    dated = replace(chosen, chosen_on=chosen.chosen_on or office.today())
    edits, choice_id = _choice_edits(opened, dated)
    finishes = [_finish_edit(opened, use.work, chosen) for use in holds]
    words = f"{chosen.role.capitalize()}: {material.title}"
    jobs.save(office, job_id, (*edits, *finishes), replace(order, what=words))
    return choice_id


def _within(use: Use, zone_id: UUID | None) -> bool:
    return zone_id is None or (use.zone is not None and use.zone.id == zone_id)


def _choice_edits(opened: OpenJob, chosen: Chosen) -> tuple[list[Edit], UUID]:
    fields: Mapping[str, Any] = {
        "material": chosen.material,
        "chosen_on": chosen.chosen_on,
        "chosen_by": chosen.chosen_by,
        "sample": chosen.sample,
    }
    same_role = [one for one in opened.job.choices if one.role == chosen.role]
    known = next((one for one in same_role if one.zone_id == chosen.zone_id), None)
    gone = [one for one in same_role if chosen.zone_id is None and one.zone_id is not None]
    edits = [edit for one in gone for edit in removal(opened, "choice", one.id)]
    if known is not None:
        return [*edits, changed("choice", known.id, opened.version("choice", known.id), fields)], known.id
    new = Choice(id=uuid4(), role=chosen.role, zone_id=chosen.zone_id, **fields)
    return [*edits, made("choice", new)], new.id


def _finish_edit(opened: OpenJob, work: Work, chosen: Chosen) -> Edit:
    finishes = {**work.finishes, chosen.role: chosen.material}
    return changed("work", work.id, opened.version("work", work.id), {"finishes": finishes})
