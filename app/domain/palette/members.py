"""The members of a palette: what is seen in the yard beside one another, and the house that is there already."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from app.domain.basis import Basis, Material
from app.domain.costing.estimate import Estimate
from app.domain.job import Job, ZoneKind, only_included
from app.domain.palette.color import Lab, is_color, lab_of
from app.domain.palette.finishes import MULCH, PLANTED
from app.domain.palette.surfaces import surface_of
from app.domain.palette.typed_color import seen_as
from app.domain.plan import area
from app.domain.plan.edges import HOUSE
from app.domain.takeoff.meeting import meetings

GROWS = frozenset({PLANTED, MULCH, "turf"})  # hatches of what is green, or lies between what is: it goes with anything
BARE_FEET = frozenset({ZoneKind.WATER, ZoneKind.LOUNGING, ZoneKind.PLAY})
HOUSE_PARTS = (("wall_color", "House walls"), ("roof_color", "House roof"), ("trim_color", "House trim"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One of the palette: a material by its key, or (fixed) a part of the house.

    `area` [sq ft] is what it covers as the surface of zones, 0 where it only edges or stands there.
    """

    key: str
    title: str
    color: str
    lab: Lab
    family: str = ""  # as typed; empty: as its color is
    role: str = ""
    area: float = 0.0
    zones: tuple[str, ...] = ()  # ids of those it is the surface of, as text
    letters: tuple[str, ...] = ()
    fixed: bool = False
    bought: float = 0.0  # units bought of it, losses included, as the estimate has them
    bare_feet: tuple[str, ...] = ()  # letters of zones where people go barefoot


@dataclass(frozen=True, slots=True, kw_only=True)
class Touching:
    """Two members that meet on the plan, over how long [ft], between which zones (letters; `house`)."""

    one: str
    other: str
    length: float
    places: tuple[tuple[str, str], ...]


def color_of(material: Material) -> str:
    """The one color a material is seen as; empty where nobody told."""
    return seen_as(material.color, material.blend)


def members_of(job: Job, basis: Basis, worked: Estimate) -> tuple[Member, ...]:
    """What covers most first, then what edges or stands there, the house last; without green and what has no color."""
    job = only_included(job)
    surfaces = tuple(_surfaces(job, basis))
    others = _others(job, basis, worked, {one.key for one in surfaces})
    bought: dict[str, float] = {}
    for line in worked.lines:
        if line.kind == "material":
            bought[line.key] = bought.get(line.key, 0.0) + line.amount
    seen = (replace(one, bought=bought.get(one.key, 0.0)) for one in (*surfaces, *others))
    return (*seen, *_house(job))


def _surfaces(job: Job, basis: Basis) -> Iterator[Member]:
    found: dict[str, list[tuple[str, str, float, bool]]] = {}
    for zone in job.zones:
        way = job.chosen(zone)
        surface = surface_of(job, basis, zone)
        material = basis.materials.get(surface.material)
        if way is None or way.outline is None or material is None or surface.hatch in GROWS or not color_of(material):
            continue
        bare = zone.kind in BARE_FEET
        found.setdefault(material.key, []).append((str(zone.id), zone.letter or zone.title, area(way.outline), bare))
    areas = {key: sum(one[2] for one in lying) for key, lying in found.items()}
    for key, lying in sorted(found.items(), key=lambda pair: (-areas[pair[0]], pair[0])):
        yield _member(
            basis.materials[key],
            area=areas[key],
            zones=tuple(one[0] for one in lying),
            letters=tuple(one[1] for one in lying),
            bare_feet=tuple(one[1] for one in lying if one[3]),
        )


def _member(material: Material, **lying: object) -> Member:
    color = color_of(material)
    own = {"key": material.key, "title": material.title, "family": material.family, "role": material.role}
    return Member(**{**own, **lying, "color": color, "lab": lab_of(color)})  # type: ignore[arg-type]


def _others(job: Job, basis: Basis, worked: Estimate, lying: set[str]) -> Iterator[Member]:
    """Finishes that are priced and are no surface of a zone: caps, walls, counters, borders."""
    letters = {str(zone.id): zone.letter or zone.title for zone in job.zones}
    planted = {str(work.id) for work in job.works if _is_planted(basis, work.assembly)}
    found: dict[str, dict[str, None]] = {}
    for line in worked.lines:
        material = basis.materials.get(line.key) if line.kind == "material" else None
        if material is None or not material.finish or material.hatch in GROWS or material.key in lying:
            continue
        if color_of(material) and line.work_id not in planted:
            found.setdefault(material.key, {})[letters.get(line.zone, "")] = None
    for key in sorted(found):
        yield _member(basis.materials[key], letters=tuple(letter for letter in found[key] if letter))


def _is_planted(basis: Basis, assembly: str) -> bool:
    recipe = basis.assemblies.get(assembly)
    return recipe is not None and recipe.drawing.hatch == PLANTED


def _house(job: Job) -> Iterator[Member]:
    for name, title in HOUSE_PARTS:
        color = str(getattr(job.site, name))
        if is_color(color):
            yield Member(key=name, title=title, color=color, lab=lab_of(color), fixed=True)


def touching(job: Job, members: tuple[Member, ...]) -> tuple[Touching, ...]:
    """Which members meet, by the shared edges of the plan; the house meets with its walls. The longest first."""
    job = only_included(job)
    by_zone = {zone: member.key for member in members for zone in member.zones}
    if any(member.key == "wall_color" for member in members):
        by_zone[HOUSE] = "wall_color"
    letters: Mapping[str, str] = {str(zone.id): zone.letter or zone.title for zone in job.zones} | {HOUSE: HOUSE}
    found: dict[tuple[str, str], dict[tuple[str, str], float]] = {}
    for met in meetings(job):
        here, there = met.stretch.zone, met.neighbor
        ours, theirs = by_zone.get(here), by_zone.get(there)
        if ours is None or theirs is None or ours == theirs or (there != HOUSE and there < here):
            continue
        pair = (ours, theirs) if ours < theirs else (theirs, ours)
        places = (letters[here], letters[there]) if ours < theirs else (letters[there], letters[here])
        lengths = found.setdefault(pair, {})
        lengths[places] = lengths.get(places, 0.0) + met.stretch.length
    made = [
        Touching(one=one, other=other, length=sum(by.values()), places=tuple(by)) for (one, other), by in found.items()
    ]
    return tuple(sorted(made, key=lambda pair: (-pair.length, pair.one, pair.other)))
