"""Small plans put together from parts, on the shipped library: each test changes the one thing it is about."""

from dataclasses import replace
from functools import cache
from typing import Any
from uuid import UUID, uuid5

from app.domain.basis import Basis, Rule
from app.domain.job import (
    Alternative,
    Client,
    Edge,
    Existing,
    Fate,
    Feature,
    Head,
    Job,
    Need,
    Phase,
    PlaceKind,
    Run,
    Site,
    Work,
    Zone,
    ZoneKind,
)
from app.domain.plan import rectangle
from app.domain.plan.outline import Outline
from app.interchange.library_file import Library, load_library

SPACE = UUID("00000000-0000-0000-0000-000000000001")
HOUSE = rectangle(40, 20, at=(0, 0))  # its back wall lies at y = 20


def named(name: str) -> UUID:
    """The same id for the same name."""
    return uuid5(SPACE, name)


@cache
def library() -> Library:
    return load_library()


def basis(**rules: Any) -> Basis:
    """The shipped library; `rules` are values by id with _ for -."""
    shipped = library().basis()
    changed: dict[str, Rule] = dict(shipped.rules)
    for name, value in rules.items():
        key = name.replace("_", "-")
        changed[key] = replace(changed[key], value=value)
    return replace(shipped, rules=changed)


def empty(**site: Any) -> Job:
    """A job with a house and nothing built."""
    client = Client(id=named("client"), name="Teodor Asante")
    head = Head(id=named("head"), client_id=client.id, title="Mill Race yard")
    return Job(head=head, client=client, site=Site(id=named("site"), **{"house": HOUSE, **site}))


def with_zone(
    job: Job,
    letter: str,
    outline: Outline | None,
    assembly: str = "",
    *,
    kind: ZoneKind = ZoneKind.LOUNGING,
    title: str = "",
    parameters: dict[str, str] | None = None,
    phase: str = "",
    **alternative: Any,
) -> Job:
    """One more zone with its only alternative and, where a recipe is named, its work."""
    way = Alternative(id=named(f"way {letter}"), zone_id=named(f"zone {letter}"), outline=outline, **alternative)
    zone = Zone(
        id=way.zone_id,
        letter=letter,
        title=title or f"Place {letter}",
        kind=kind,
        chosen_id=way.id,
        phase_id=named(f"phase {phase}") if phase else None,
    )
    job = replace(job, zones=(*job.zones, zone), alternatives=(*job.alternatives, way))
    return with_work(job, PlaceKind.ALTERNATIVE, way.id, assembly, parameters) if assembly else job


def with_work(
    job: Job, place: PlaceKind, place_id: UUID | None, assembly: str, parameters: dict[str, str] | None = None
) -> Job:
    work = Work(
        id=named(f"work {len(job.works)}"),
        place=place,
        place_id=place_id,
        assembly=assembly,
        parameters=parameters or {},
    )
    return replace(job, works=(*job.works, work))


def with_run(job: Job, name: str, assembly: str = "", *, parameters: dict[str, str] | None = None, **run: Any) -> Job:
    one = Run(id=named(f"run {name}"), title=name, **run)
    job = replace(job, runs=(*job.runs, one))
    return with_work(job, PlaceKind.RUN, one.id, assembly, parameters) if assembly else job


def with_feature(job: Job, name: str, assembly: str = "", **feature: Any) -> Job:
    one = Feature(id=named(f"feature {name}"), title=name, **feature)
    job = replace(job, features=(*job.features, one))
    return with_work(job, PlaceKind.FEATURE, one.id, assembly) if assembly else job


def with_edge(job: Job, letter: str, neighbor: str, assembly: str = "", **edge: Any) -> Job:
    key = neighbor if neighbor in {"house", "lot", "ground", "wall"} else str(named(f"zone {neighbor}"))
    one = Edge(id=named(f"edge {letter} {neighbor}"), zone_id=named(f"zone {letter}"), neighbor=key, **edge)
    job = replace(job, edges=(*job.edges, one))
    return with_work(job, PlaceKind.EDGE, one.id, assembly) if assembly else job


def with_existing(job: Job, name: str, kind: str, assembly: str = "", *, fate: Fate = Fate.GOES, **thing: Any) -> Job:
    one = Existing(id=named(f"thing {name}"), title=name, kind=kind, fate=fate, **thing)
    job = replace(job, existing=(*job.existing, one))
    return with_work(job, PlaceKind.EXISTING, one.id, assembly) if assembly else job


def with_need(job: Job, words: str, *letters: str, must: bool = True) -> Job:
    need = Need(id=named(words), words=words, must=must, zone_ids=tuple(named(f"zone {one}") for one in letters))
    return replace(job, needs=(*job.needs, need))


def with_phase(job: Job, number: int, **phase: Any) -> Job:
    one = Phase(id=named(f"phase {number}"), number=number, title=f"Phase {number}", **phase)
    return replace(job, phases=(*job.phases, one))


def site(job: Job, **fields: Any) -> Job:
    return replace(job, site=replace(job.site, **fields))
