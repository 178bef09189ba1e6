"""Sprinklers of a plan: heads and valves tapped or typed, each one change; what each valve waters, what to decide."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.findings import Finding
from app.domain.job import SPRINKLERS, VALVE, Existing, Fate, Feature, Job, PlaceKind
from app.domain.plan.arcs import Point
from app.domain.takeoff.sprinkled import (
    NEW_HEAD,
    Sprinkled,
    SprinklerHead,
    ValveWater,
    heads_of,
    is_sprinkler,
    minutes_of,
    sprinkled,
)
from app.domain.units import System, format_number
from app.services import jobs
from app.services.jobs import OpenJob, Order, made
from app.services.office import Office
from app.services.placed_lights import zone_around
from app.services.sheets import Sheet
from app.services.zones import new_work, next_position

NEXT = "Valve"  # what a valve is called that is made with its first head, with its number
MOST_HEADS = 500
OF_HEAD = ("head", "throw", "arc", "faces", "flow")
UNDER = "sprinkler-under-work"
TO_DECIDE = frozenset({UNDER, "sprinkler-onto-people", "sprinkler-onto-hard"})


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadRow:
    """A head as its valve lists it, with what is said of it."""

    head: SprinklerHead
    findings: Sequence[Finding]

    @property
    def asked(self) -> bool:
        """Whether somebody is to decide what happens to it."""
        return any(one.rule in TO_DECIDE for one in self.findings)

    @property
    def buried(self) -> bool:
        """Whether it cannot stay where it stands."""
        return any(one.rule == UNDER for one in self.findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveRow:
    """A valve with its heads and what is said of it."""

    water: ValveWater
    heads: Sequence[HeadRow]
    findings: Sequence[Finding]
    minutes: float | None = None  # for the depth somebody asked about


@dataclass(frozen=True, slots=True, kw_only=True)
class SprinklersPage:
    """All valves of a job, the heads to decide, what is said of the whole, and the thing in focus."""

    rows: Sequence[ValveRow]
    asked: Sequence[HeadRow]
    findings: Sequence[Finding]
    focused: Existing | Feature | None
    counted: int


def valves_to_place(job: Job) -> Sequence[tuple[str, str]]:
    """On which valve a head may be set: those there are, a new one by its name, none that is known."""
    there = [(str(one.id), one.title or NEXT) for one in _valves(job)]
    fresh = next_valve(job)
    return [*there, (fresh, f"{fresh}, a new one"), ("", "Valve not known")]


def next_valve(job: Job) -> str:
    """The name of the next valve: “Valve 3”."""
    taken = {one.title for one in _valves(job)}
    return next(name for name in (f"{NEXT} {number}" for number in range(1, len(taken) + 2)) if name not in taken)


def _valves(job: Job) -> list[Existing]:
    return [one for one in job.existing if one.kind == VALVE]


def place_heads(
    office: Office, job_id: UUID, places: Sequence[Point], told: Mapping[str, Any], order: Order
) -> Sequence[str]:
    """Heads at points [ft], all of one valve and alike; what their margin notes go by.

    `told` has `valve` (an id, or the name of a new one), `new` (with its recipe, else one that is there), and what is
    known of them. Raises: BadValue.
    """
    opened = jobs.open_job(office, job_id)
    valve_id, edits = _valve(opened, str(told.get("valve") or ""), order)
    known = {name: told[name] for name in OF_HEAD if told.get(name) is not None}
    if known.get("arc") == 360:
        known.pop("faces", None)
    if len(heads_of(opened.job)) + len(places) > MOST_HEADS:
        raise BadValue(f"A job holds {MOST_HEADS} heads. Take some out first.", field="places")
    keys = []
    for place, (at, title) in enumerate(zip(places, _titles(opened.job, valve_id, edits, len(places)), strict=True)):
        own = {**known, "title": title, "valve_id": valve_id, "x": at[0], "y": at[1]}
        head_id = uuid5(order.change_id, f"head {place}")
        if told.get("new"):
            zone_id = zone_around(opened.job, at)
            feature = Feature(id=head_id, zone_id=zone_id, position=next_position(opened.job.features) + place, **own)
            work = replace(
                new_work(opened, PlaceKind.FEATURE, head_id, NEW_HEAD),
                id=uuid5(order.change_id, f"work {place}"),
                position=0,
            )
            edits += [made("feature", feature), made("work", work)]
        else:
            position = next_position(opened.job.existing) + 1 + place
            edits.append(made("existing", Existing(id=head_id, kind=SPRINKLERS, position=position, **own)))
        keys.append(f"{'feature' if told.get('new') else 'existing'}:{head_id}")
    what = f"{len(places)} sprinkler heads" if len(places) > 1 else "A sprinkler head"
    jobs.save(office, job_id, tuple(edits), replace(order, what=what))
    return keys


def place_head(office: Office, job_id: UUID, at: Point, told: Mapping[str, Any], order: Order) -> str:
    """One head at a point of the plan."""
    return place_heads(office, job_id, (at,), told, order)[0]


def _valve(opened: OpenJob, named: str, order: Order) -> tuple[UUID | None, list[Edit]]:
    """The valve somebody named, made where it is the next one; none for no name."""
    if not named:
        return None, []
    found = next((one for one in _valves(opened.job) if named in {str(one.id), one.title}), None)
    if found is not None:
        return found.id, []
    if named != next_valve(opened.job):
        raise BadValue("This valve is not there (any more). Choose one of the list.", field="valve")
    position = next_position(opened.job.existing)
    fresh = Existing(id=uuid5(order.change_id, "valve"), title=named, kind=VALVE, position=position)
    return fresh.id, [made("existing", fresh)]


def _titles(job: Job, valve_id: UUID | None, edits: Sequence[Edit], count: int) -> Iterator[str]:
    """Names that no other head has: “Valve 2, head 4”."""
    valve = next((one.title for one in _valves(job) if one.id == valve_id), "") or (next_valve(job) if edits else "")
    begins = f"{valve}, head" if valve_id else "Head"
    taken = {one.thing.title for one in heads_of(job)}
    number, given = 0, 0
    while given < count:
        number += 1
        title = f"{begins} {number}"
        if title not in taken:
            given += 1
            yield title


def sprinklers_page(view: Sheet, focus: str, depth: float | None = None) -> SprinklersPage:
    """The valves of a job with their heads, findings, minutes for a depth [in], and the head or valve in focus."""
    found = sprinkled(view.job, view.basis)
    said: dict[str, list[Finding]] = {}
    for one in (*view.readiness.warns, *view.readiness.not_checked, *view.readiness.notes, *view.readiness.stops):
        if one.rule.startswith("sprinkler"):
            said.setdefault(one.where, []).append(one)
    rows = [_row(one, said) for one in found.valves] if found else []
    if depth is not None:
        rows = [replace(row, minutes=minutes_of(row.water.built, view.basis, depth)) for row in rows]
    shown = {row.water.where for row in rows} | {one.head.where for row in rows for one in row.heads}
    return SprinklersPage(
        rows=rows,
        asked=[one for row in rows for one in row.heads if one.asked],
        findings=[one for where, every in said.items() if where not in shown for one in every],
        focused=_focused(view.job, focus),
        counted=found.counted if found else 0,
    )


def _row(water: ValveWater, said: Mapping[str, Sequence[Finding]]) -> ValveRow:
    every = {one.where: one for one in (*water.today.heads, *water.built.heads)}
    return ValveRow(
        water=water,
        heads=[HeadRow(head=one, findings=_about(said.get(where, ()))) for where, one in every.items()],
        findings=[one for one in said.get(water.where, ()) if water.valve or not _is_about_a_head(one)],
    )


def _about(said: Sequence[Finding]) -> list[Finding]:
    return [one for one in said if _is_about_a_head(one)]


def _is_about_a_head(finding: Finding) -> bool:
    return finding.rule in TO_DECIDE


def _focused(job: Job, focus: str) -> Existing | Feature | None:
    kind, _, key = focus.partition(":")
    if kind == "feature":
        return next((one.thing for one in heads_of(job) if one.new and str(one.thing.id) == key), None)
    return next((one for one in job.existing if kind == "existing" and str(one.id) == key and is_sprinkler(one)), None)


def depth_words(inches: float, system: System) -> str:
    """A depth of water [in] as it is told: to a hundredth of an inch, or to a millimeter."""
    return f"{format_number(inches, 2)} in" if system == "feet" else f"{format_number(inches * 25.4, 0)} mm"


def counts(found: Sprinkled | None) -> tuple[int, int]:
    """How many heads and valves are on a plan."""
    return (len(found.heads), len(found.own)) if found else (0, 0)


FATE_WORDS: Mapping[Fate, str] = {
    Fate.STAYS: "stays as it is",
    Fate.PROTECTED: "is kept and set anew",
    Fate.MOVES: "moves",
    Fate.GOES: "is capped",
}
