"""Small plans with their known open points, read from the tables in `small/`.

A plan names its places: `zone.A`, `run.Fence`, `feature.Fire`, `existing.Shed`, edges in a list; `like` takes over another
plan of the file and changes what is said again. `open` is every open point that the rules of `about` must raise, and
nothing else: rule, where (`zone A`, `feature Fire`, `site`, `job`), what was measured, in words.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any
from uuid import UUID

from app.domain.findings import Finding
from app.domain.job import (
    JOB_THINGS,
    Answer,
    Easement,
    EdgeChoice,
    Fate,
    Job,
    LotLine,
    Mark,
    Opening,
    PlaceKind,
    Planting,
    RunKind,
    Setback,
    ZoneKind,
)
from app.domain.plan import circle, l_shape, rectangle
from app.domain.plan.measures import placed_by
from app.domain.plan.outline import Outline
from app.domain.plan.placing import Placing
from app.domain.plan.shapes import from_points
from app.services.placing_plan import LYING, placed_fields
from tests.plans.yards import (
    empty,
    named,
    with_edge,
    with_existing,
    with_feature,
    with_need,
    with_run,
    with_work,
    with_zone,
)

FOLDER = Path(__file__).parent / "small"


@dataclass(frozen=True, slots=True)
class SmallPlan:
    """A plan, the rules it is about, and what is known to be open on it: rule, where, measured."""

    name: str
    job: Job
    about: frozenset[str]
    open: frozenset[tuple[str, str, str]]

    def said(self, findings: tuple[Finding, ...]) -> frozenset[tuple[str, str, str]]:
        """What the checks say of it, as `open` says it."""
        words = _places(self.job)
        return frozenset(
            (one.rule, words.get(one.where, one.where), one.measured) for one in findings if one.rule in self.about
        )


def _places(job: Job) -> Mapping[str, str]:
    named_by = {f"zone:{one.id}": f"zone {one.letter}" for one in job.zones}
    things = (("run", job.runs), ("feature", job.features), ("existing", job.existing))
    named_by |= {f"{kind}:{one.id}": f"{kind} {one.title}" for kind, own in things for one in own}
    named_by |= {f"need:{one.id}": "What they asked for" for one in job.needs}
    named_by |= {f"planting:{one.id}": f"planting {one.species}" for one in job.plantings}
    named_by |= {f"mark:{one.id}": f"spot {at}" for at, one in enumerate(job.marks, 1)}
    letters = {str(one.id): one.letter for one in job.zones}
    return named_by | {
        f"edge:{one.id}": f"edge {letters[str(one.zone_id)]} {letters.get(one.neighbor, one.neighbor)}"
        for one in job.edges
    }


@cache
def small_plans() -> tuple[SmallPlan, ...]:
    """Every plan of the folder."""
    return tuple(plan for path in sorted(FOLDER.glob("*.toml")) for plan in _read(path))


def _read(path: Path) -> Iterator[SmallPlan]:
    table = tomllib.loads(path.read_text("utf-8"))
    known: dict[str, dict[str, Any]] = {}
    for typed in table["plan"]:
        said = _over(known[typed["like"]], typed) if "like" in typed else typed
        known[typed["name"]] = said
        points = frozenset((one["rule"], one["where"], one.get("measured", "")) for one in typed.get("open", ()))
        yield SmallPlan(f"{path.stem}: {typed['name']}", _job(said), frozenset(table["about"]), points)


def _over(below: Mapping[str, Any], above: Mapping[str, Any]) -> dict[str, Any]:
    """One table laid over another."""
    found = dict(below)
    for key, value in above.items():
        old = found.get(key)
        found[key] = _over(old, value) if isinstance(old, Mapping) and isinstance(value, Mapping) else value
    return found


def _job(said: Mapping[str, Any]) -> Job:
    job = empty(**_site(dict(said.get("site", {}))))
    job = replace(job, head=replace(job.head, **said.get("head", {})))
    for letter, one in said.get("zone", {}).items():
        job = with_zone(job, letter, _outline(one), kind=ZoneKind(one.get("kind", "lounging")), **_rest(one))
        job = _built(job, PlaceKind.ALTERNATIVE, named(f"way {letter}"), one)
    for name, one in said.get("run", {}).items():
        job = with_run(job, name, kind=RunKind(one.get("kind", "other")), **_zone_of(one), **_points(one), **_rest(one))
        job = _built(job, PlaceKind.RUN, named(f"run {name}"), one)
    for name, one in said.get("feature", {}).items():
        job = with_feature(job, name, **_zone_of(one), **_point(one), **_rest(one))
        job = _built(job, PlaceKind.FEATURE, named(f"feature {name}"), one)
    for name, one in said.get("existing", {}).items():
        lies = {"outline": _outline(one)} if {"size", "round"} & one.keys() else {**_points(one), **_point(one)}
        job = with_existing(job, name, one["kind"], fate=Fate(one.get("fate", "stays")), **lies, **_rest(one))
        job = _built(job, PlaceKind.EXISTING, named(f"thing {name}"), one)
    for one in said.get("edge", ()):
        choice = EdgeChoice(one.get("choice", "built" if "build" in one else "nothing"))
        job = with_edge(job, one["of"], one["to"], choice=choice, **_rest(one))
        job = _built(job, PlaceKind.EDGE, named(f"edge {one['of']} {one['to']}"), one)
    for one in said.get("planting", ()):
        row = Planting(
            id=named(f"planting {one['species']}"),
            alternative_id=named(f"way {one['of']}"),
            species=one["species"],
            size="5-gal",
            pattern="placed",
            **_points(one),
        )
        job = replace(job, plantings=(*job.plantings, row))
    rows = [Setback(id=named(f"setback {at}"), **one) for at, one in enumerate(said.get("setback", ()))]
    job = replace(job, setbacks=tuple(rows), easements=tuple(_easements(said.get("easement", ()))))
    spots = [Mark(id=named(f"spot {at}"), x=float(x), y=float(y), level=float(up)) for at, (x, y, up) in _spots(said)]
    job = replace(job, marks=tuple(spots))
    for recipe in said.get("works", ()):
        job = with_work(job, PlaceKind.JOB, None, recipe)
    for words in said.get("needs", ()):
        job = with_need(job, words)
    return job


def _easements(said: list[dict[str, Any]]) -> Iterator[Easement]:
    """Easements by the point of their lot line, the line in their middle, or their outline."""
    for at, one in enumerate(said):
        lies: dict[str, Any] = {"at": tuple(map(float, one["along"]))} if "along" in one else {}
        if "points" in one:
            lies = _points(one)
        lies = lies or {"outline": _outline(one)}
        rest = {key: value for key, value in one.items() if key in {"title", "width", "source"}}
        yield Easement(id=named(f"easement {at}"), allows=tuple(one.get("allows", ())), **lies, **rest)


def _spots(said: Mapping[str, Any]) -> Iterator[tuple[int, tuple[float, float, float]]]:
    """Spot levels of the ground: x, y, level."""
    return enumerate(said.get("ground", ()))


def _built(job: Job, place: PlaceKind, place_id: UUID, one: Mapping[str, Any]) -> Job:
    """The works on a place: `build`, with the parameters of `with`, and those of `also`."""
    recipes = [one["build"]] if "build" in one else []
    for number, recipe in enumerate([*recipes, *one.get("also", ())]):
        job = with_work(job, place, place_id, recipe, one.get("with") if not number else None)
    return job


SHAPE = frozenset({"at", "round", "ell", "corners", "size", "turned", "points", "rises"})
READ = SHAPE | {"build", "with", "also", "kind", "fate", "zone", "of", "to", "choice"}


def _rest(one: Mapping[str, Any]) -> dict[str, Any]:
    """The fields that stand as they are."""
    return {key: value for key, value in one.items() if key not in READ}


def _outline(one: Mapping[str, Any]) -> Outline | None:
    at = tuple(one.get("at", (0, 0)))
    if "round" in one:
        return circle(one["round"], at=at)
    if "ell" in one:
        return l_shape(*one["ell"], at=at)
    if "corners" in one:
        return from_points([tuple(point) for point in one["corners"]])
    return rectangle(*one["size"], at=at, turn=one.get("turned", 0.0)) if "size" in one else None


def _points(one: Mapping[str, Any]) -> dict[str, Any]:
    """A line by its points, and how far its stretches are bent."""
    if "points" not in one:
        return {}
    points = tuple((float(x), float(y)) for x, y in one["points"])
    return {"points": points, **({"rises": tuple(map(float, one["rises"]))} if "rises" in one else {})}


def _point(one: Mapping[str, Any]) -> dict[str, Any]:
    return {"x": float(one["at"][0]), "y": float(one["at"][1])} if one.get("at") else {}


def _zone_of(one: Mapping[str, Any]) -> dict[str, Any]:
    return {"zone_id": named(f"zone {one['zone']}")} if "zone" in one else {}


def _site(said: dict[str, Any]) -> dict[str, Any]:
    """A site: `house` and `lot` as shapes (an empty table: not drawn), `doors` with place, width and threshold."""
    doors = [
        Opening(title=name, x=float(x), y=float(y), **dict(zip(("width", "level"), more, strict=False)))
        for name, (x, y, *more) in said.pop("doors", {}).items()
    ]
    drawn = {name: _outline(said.pop(name)) for name in ("house", "lot") if name in said}
    lines = {key: Answer(one) for key, one in said.pop("lines", {}).items()}
    sides = tuple(LotLine(x=float(x), y=float(y), side=side) for side, x, y in said.pop("sides", ()))
    return {"openings": tuple(doors), "private_lines": lines, "lot_lines": sides, **drawn, **said}


def placed(job: Job, placing: Placing) -> Job:
    """The whole plan put elsewhere, north with it."""
    north = placing.bearing(job.site.north)
    site = replace(job.site, **placed_fields(job.site, placing), north=north)
    moved = {JOB_THINGS[kind][1]: getattr(job, JOB_THINGS[kind][1]) for kind in LYING}
    things = {name: tuple(replace(one, **placed_fields(one, placing)) for one in own) for name, own in moved.items()}
    return replace(job, site=site, **things)


def spread(job: Job, times: float) -> Job:
    """The same plan with its places so many times as far apart; what stands there is as large as before."""
    return placed(job, _Spread(times=times))


@dataclass(frozen=True, kw_only=True)
class _Spread(Placing):
    """Every place so many times as far from the datum."""

    times: float = 1.0

    def point(self, point: tuple[float, float]) -> tuple[float, float]:
        return point[0] * self.times, point[1] * self.times

    def outline(self, outline: Outline) -> Outline:
        return Outline(placed_by(outline, self.point).wkt)
