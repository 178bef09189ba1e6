"""The pattern of a zone: set it, take it off, look for a better start line, and what the margin says about it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.basis import Basis
from app.domain.costing.explain_laid import part_words, wasted
from app.domain.errors import BadValue
from app.domain.job import BorderCourse, Job, Laying, PlaceKind, Work
from app.domain.plan.laying import BORDERS, CORNERS, ENDS, PATTERNS, Laid
from app.domain.plan.outline import rings_of
from app.domain.takeoff.laid import LaidWork, doors_near, laid_role, size_words
from app.domain.takeoff.requirements import laid_on
from app.services import jobs
from app.services.border_sides import SideLine, chosen_along, side_lines
from app.services.changes import Applied
from app.services.jobs import OpenJob, Order, changed
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.work_lines import works_at
from app.services.zones import find
from app.worker import run_in_worker
from app.worker.start_search import found_of, search_payload

SEARCH_SECONDS = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidCount:
    """One part as laid: what it is, of which material, how many units, whole and cut, the saw cuts."""

    words: str
    material: str
    other: bool  # another material than the field's
    whole: int
    cut: int
    cuts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternNote:
    """What the margin says about the pattern of a work; `laid` is None where none is set or it cannot be laid."""

    work: Work
    laying: Laying | None
    laid: Laid | None
    parts: tuple[LaidCount, ...]
    orders: tuple[tuple[str, str], ...]  # what is ordered, and how it comes to so many
    sizes: tuple[tuple[str, str], ...]  # of the second and third size of a mixed pattern: in words, its material
    border_materials: tuple[tuple[str, str], ...]
    openings: bool  # whether the outline has some
    sides: tuple[SideLine, ...]  # along which the border may run
    patterns: tuple[tuple[str, str], ...] = tuple(PATTERNS.items())
    borders: tuple[tuple[str, str], ...] = tuple(BORDERS.items())
    corners: tuple[tuple[str, str], ...] = tuple(CORNERS.items())
    ends: tuple[tuple[str, str], ...] = tuple(ENDS.items())

    @property
    def start_words(self) -> str:
        """Where laying starts, and why, as a sentence."""
        words = self.laid.start.reason if self.laid else ""
        return words[:1].upper() + words[1:]

    @property
    def opened(self) -> int:
        """Units opened, no off-cut used again."""
        return sum(sum(part.opened) for part in self.laid.parts) if self.laid else 0

    @property
    def possible(self) -> int:
        """Units opened with off-cuts used again."""
        return sum(sum(part.reusing) for part in self.laid.parts) if self.laid else 0

    @property
    def cuts(self) -> int:
        """Saw cuts."""
        return sum(part.cuts for part in self.laid.parts) if self.laid else 0

    @property
    def cut_length(self) -> float:
        """Length of all saw cuts [ft]."""
        return sum(part.cut_length for part in self.laid.parts) if self.laid else 0.0

    @property
    def small(self) -> int:
        """Pieces below the smallest share of a unit."""
        return sum(part.slivers for part in self.laid.parts) if self.laid else 0

    @property
    def waste(self) -> float:
        """Share of the opened units that is cut away."""
        return wasted(self.laid) if self.laid else 0.0

    def border(self, place: int) -> BorderCourse | None:
        """A border course by its place from the outline inward."""
        courses = self.laying.borders if self.laying else ()
        return courses[place] if place < len(courses) else None


def pattern_note(view: Sheet, way_id: UUID) -> PatternNote | None:
    """The pattern of the first work on a way that lays units; None where no work does."""
    for work in works_at(view.job, PlaceKind.ALTERNATIVE, way_id):
        assembly = view.basis.assemblies.get(work.assembly)
        role = laid_role(assembly) if assembly else ""
        if role:
            found = laid_on(view.job, view.basis, work)
            return PatternNote(
                work=work,
                laying=work.laying,
                laid=found.laid if found else None,
                parts=laid_counts(found),
                orders=_orders(found),
                sizes=_sizes(found),
                border_materials=_border_materials(view.basis, role),
                openings=_has_openings(view.job, way_id),
                sides=_sides(view.job, way_id, work.laying),
            )
    return None


def _sides(job: Job, way_id: UUID, laying: Laying | None) -> tuple[SideLine, ...]:
    way = next((one for one in job.alternatives if one.id == way_id), None)
    return side_lines(job, way, laying.along if laying else ()) if way else ()


def _has_openings(job: Job, way_id: UUID) -> bool:
    outline = next((way.outline for way in job.alternatives if way.id == way_id), None)
    return outline is not None and len(rings_of(outline)) > 1


def _orders(found: LaidWork | None) -> tuple[tuple[str, str], ...]:
    if found is None or found.laid is None:
        return ()
    names = [part_words(found.laid, place) for place in range(len(found.laid.parts))]
    names += [material.title for material in found.apart.values()]
    return tuple((name, one.words) for name, one in zip(names, found.orders, strict=True))


def _sizes(found: LaidWork | None) -> tuple[tuple[str, str], ...]:
    """The second and third size of a laid pattern, with the material each is bought as; empty: the field's own."""
    if found is None or found.laid is None or len(found.laid.field.by_size) < 2:
        return ()
    field = found.laid.field
    return tuple(
        (size_words(field.sizes[at], field.opened[at]), found.apart[at].key if at in found.apart else "")
        for at in range(1, len(field.sizes))
    )


def laid_counts(found: LaidWork | None) -> tuple[LaidCount, ...]:
    """The parts of a laid work, field first."""
    if found is None or found.laid is None:
        return ()
    return tuple(
        LaidCount(
            words=part_words(found.laid, place),
            material=material.title,
            other=material is not found.materials[0],
            whole=sum(part.whole),
            cut=sum(part.opened) - sum(part.whole),
            cuts=part.cuts,
        )
        for place, (part, material) in enumerate(zip(found.laid.parts, found.materials, strict=True))
    )


def _border_materials(basis: Basis, role: str) -> tuple[tuple[str, str], ...]:
    """What a border can be laid of: every unit with sides, those of the field's own role first."""
    units = [one for one in basis.materials.values() if one.length and one.width and (one.finish or one.role == role)]
    return tuple((one.key, one.title) for one in sorted(units, key=lambda one: (one.role != role, one.title)))


def set_laying(
    office: Office, job_id: UUID, work_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Set the pattern of a work from what was typed, as it was read at `version`; an empty pattern takes it off.

    Raises: NotFound; BadValue with a sentence where it cannot be laid.
    """
    opened = jobs.open_job(office, job_id)
    work: Work = find(opened.job.works, work_id, "piece of work")
    way = next((one for one in opened.job.alternatives if one.id == work.place_id), None)
    along = chosen_along(way.outline if way else None, values.get("along") or ())
    laying = replace(_laying(values, work.laying, opened.basis), along=along) if values["pattern"] else None
    if laying is not None:
        _check(opened, replace(work, laying=laying))
    words = f"Pattern: {PATTERNS[laying.pattern]}" if laying else "Pattern taken off"
    edit = changed("work", work.id, version, {"laying": laying})
    return jobs.save(office, job_id, (edit,), replace(order, what=words))


def _laying(values: Mapping[str, Any], before: Laying | None, basis: Basis) -> Laying:
    start = (values["start_x"], values["start_y"])
    if (start[0] is None) != (start[1] is None):
        raise BadValue("Type both lengths of the start point, or neither.", field="start_x")
    point = None if start[0] is None else start
    same = before is not None and before.start is not None and point is not None and _near(before.start, point)
    return Laying(
        pattern=values["pattern"],
        angle=values["angle"],
        joint=values["joint"],
        start=before.start if same and before else point,
        borders=tuple(_borders(values, basis)),
        corners=values["corners"] or "miter",
        ends=values.get("ends") or "through",
        smallest=before.smallest if before else None,
        inner=bool(values.get("inner")),
        other_sizes=_other_sizes(values, before, basis),
        because=before.because if same and before else "",
    )


def _other_sizes(values: Mapping[str, Any], before: Laying | None, basis: Basis) -> tuple[str, ...]:
    """What the other sizes of a mixed pattern are bought as; another pattern has other sizes."""
    if before is None or before.pattern != values["pattern"]:
        return ()
    keys = tuple(values.get(name) or "" for name in ("second_size", "third_size"))
    if any(key and key not in basis.materials for key in keys):
        raise BadValue("That material is not in the library (any more). Choose one of the list.", field="second_size")
    return keys if any(keys) else ()


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two points are the same as shown in the form (to a sixteenth of an inch)."""
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) < 1 / 16 / 12


def _borders(values: Mapping[str, Any], basis: Basis) -> list[BorderCourse]:
    courses = []
    for name in ("border", "second"):
        pattern, material = values[name], values[f"{name}_material"]
        if material and material not in basis.materials:
            raise BadValue("That material is not in the library (any more). Choose one of the list.", field=name)
        if pattern:
            courses.append(BorderCourse(material=material, pattern=pattern))
    return courses


def _check(opened: OpenJob, work: Work) -> None:
    """Refuse what cannot be laid with the sentence of the domain. Raises: BadValue."""
    works = tuple(work if one.id == work.id else one for one in opened.job.works)
    found = laid_on(replace(opened.job, works=works), opened.basis, work)
    if found is not None and found.laid is None:
        raise BadValue(found.findings[0].measured, field="pattern")


async def look_for_start(office: Office, job_id: UUID, work_id: UUID, order: Order) -> Applied:
    """Look for a better start line in the worker and keep it, with the reason in words.

    Raises: NotFound; BadValue where no pattern is set; WorkStopped.
    """
    opened = jobs.open_job(office, job_id)
    work: Work = find(opened.job.works, work_id, "piece of work")
    outline = next((one.outline for one in opened.job.alternatives if one.id == work.place_id), None)
    bare = replace(work.laying, start=None, because="") if work.laying else None
    found = laid_on(opened.job, opened.basis, replace(work, laying=bare)) if bare else None
    if bare is None or found is None or outline is None:
        raise BadValue("Choose a pattern first, and give the zone an outline.", field="pattern")
    if found.laid is None:
        raise BadValue(found.findings[0].measured, field="pattern")
    payload = search_payload(outline, bare, found.units, doors_near(outline, doors_of(opened.job)))
    best = found_of(await run_in_worker("start", payload, deadline=SEARCH_SECONDS)).start
    laying = replace(bare, start=best.point, angle=best.angle, because=best.reason)
    fresh = jobs.open_job(office, job_id)
    if find(fresh.job.works, work_id, "piece of work").laying != work.laying:
        raise BadValue("The pattern was changed meanwhile. Look for a start line again.", field="pattern")
    edit = changed("work", work_id, fresh.version("work", work_id), {"laying": laying})
    return jobs.save(office, job_id, (edit,), replace(order, what="Start line"))


def doors_of(job: Job) -> tuple[tuple[float, float], ...]:
    """Where people come out [ft]."""
    return tuple((one.x, one.y) for one in job.site.openings)
