"""The Phases sheet: what is built when and for how much, what comes again with each phase, and its first phases."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.costing.client_prices import ClientPrices, client_prices
from app.domain.errors import BadValue
from app.domain.findings import Finding
from app.domain.job import Existing, Feature, Firmness, Job, Phase, Run, Zone
from app.domain.phasing import ORDER_RULES, PhaseContent, contents, repeats, suggested_firmness
from app.domain.takeoff.measures import zone_title
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedThing:
    """A thing in a phase: its kind and version for its form, its words, how it came into the phase."""

    kind: str
    id: UUID
    version: int
    title: str
    word: str
    own: bool  # assigned itself, not by its zone or as the first phase


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseLine:
    """A phase as the sheet shows it; `low` to `high` is its band, `point` its price once it may be firm [cents]."""

    phase: Phase
    things: tuple[PlacedThing, ...]
    inside: Mapping[UUID, tuple[PlacedThing, ...]]  # what is in a zone of the phase and moves with it, by zone
    again: tuple[str, ...]  # what comes again with it
    cents: int
    low: int
    high: int
    point: int | None
    suggested: Firmness
    lacks: bool  # something in it has no price yet
    findings: tuple[Finding, ...]

    @property
    def priced(self) -> bool:
        """Whether anything in it has a price yet."""
        return self.cents > 0


def phase_lines(office: Office, view: Sheet) -> tuple[PhaseLine, ...]:
    """Every phase by number."""
    today = _today(office, view.job)
    come_again, prices = repeats(view.basis), client_prices(view.job, view.estimate)
    return tuple(_line(view, one, prices, come_again, today) for one in contents(view.job))


def _today(office: Office, job: Job) -> date:
    return office.clock().astimezone(ZoneInfo(job.head.time_zone)).date()


def _line(
    view: Sheet, content: PhaseContent, prices: ClientPrices, come_again: Mapping[str, str], today: date
) -> PhaseLine:
    phase = content.phase
    cents = prices.phases.get(str(phase.id), 0)
    low, high = prices.band(cents)
    firm = prices.firm and phase.firmness is not Firmness.RANGE
    places = {f"{kind}:{thing.id}" for kind, thing in _things(content)} | {f"phase:{phase.id}"}
    inside = _inside(view, content)
    within = {one.id for found in inside.values() for one in found}
    return PhaseLine(
        phase=phase,
        things=tuple(_placed(view, kind, thing) for kind, thing in _things(content) if thing.id not in within),
        inside=inside,
        again=tuple(come_again[key] for key in sorted({w.assembly for w in view.job.works} & come_again.keys())),
        cents=cents,
        low=low,
        high=high,
        point=cents if firm else None,
        suggested=suggested_firmness(phase.start, today),
        lacks=not firm and str(phase.id) in view.estimate.lacking,
        findings=tuple(one for one in view.findings if one.rule in ORDER_RULES and one.where in places),
    )


def _inside(view: Sheet, content: PhaseContent) -> Mapping[UUID, tuple[PlacedThing, ...]]:
    """Lines and things of the phase that lie in a zone of the same phase, by zone."""
    placed = [("run", one) for one in content.runs] + [("feature", one) for one in content.features]
    return {
        zone.id: tuple(_placed(view, kind, one) for kind, one in placed if one.zone_id == zone.id)
        for zone in content.zones
    }


def _things(content: PhaseContent) -> list[tuple[str, Zone | Run | Feature | Existing]]:
    return [
        *(("zone", one) for one in content.zones),
        *(("run", one) for one in content.runs),
        *(("feature", one) for one in content.features),
        *(("existing", one) for one in content.existing),
    ]


_WORDS = {"zone": "zone", "run": "line", "feature": "thing", "existing": "in the yard today"}


def _placed(view: Sheet, kind: str, thing: Zone | Run | Feature | Existing) -> PlacedThing:
    title = zone_title(thing) if isinstance(thing, Zone) else thing.title
    return PlacedThing(
        kind=kind,
        id=thing.id,
        version=view.version(kind, thing.id),
        title=title or kind.capitalize(),
        word=f"{thing.fate.value}" if isinstance(thing, Existing) else _WORDS[kind],
        own=thing.phase_id is not None,
    )


def add_phase(office: Office, job_id: UUID, values: Mapping[str, Any], order: Order) -> UUID:
    """Make a phase; its number follows the last, its firmness is the usual one for its start unless it was said.

    The first phase takes every zone that is in none, so that nothing is left out of it later on.
    Raises: BadValue when it would be done before it starts.
    """
    view = jobs.open_job(office, job_id)
    job = view.job
    given = {name: value for name, value in values.items() if value not in (None, "")}
    check_days(given.get("start"), given.get("done"))
    usual = suggested_firmness(given.get("start"), _today(office, job))
    number = max((one.number for one in job.phases), default=0) + 1
    filled = {"number": number, "firmness": usual, **given}
    new_id = uuid4()
    edits = [Edit(kind="phase", thing_id=str(new_id), version=0, before=None, after=to_plain(filled))]
    if not job.phases:
        edits += [
            changed("zone", one.id, view.version("zone", one.id), {"phase_id": new_id})
            for one in job.zones
            if one.phase_id is None
        ]
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"Phase {filled['number']}"))
    return new_id


def change_phase(
    office: Office, job_id: UUID, phase_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Change the fields of a phase that were sent.

    Raises: BadValue when it would be done before it starts; Stale.
    """
    job = jobs.open_job(office, job_id).job
    known = next((one for one in job.phases if one.id == phase_id), None)
    start = values.get("start", known.start if known else None)
    check_days(start, values.get("done", known.done if known else None))
    edit = changed("phase", phase_id, version, values)
    return jobs.save(office, job_id, (edit,), replace(order, what=order.what or "Phase"))


def check_days(start: date | None, done: date | None) -> None:
    """A phase is done no earlier than it starts.

    Raises: BadValue.
    """
    if start is not None and done is not None and done < start:
        raise BadValue(
            f"It would be done on {done:%B} {done.day}, before it starts on {start:%B} {start.day}. Change one.",
            field="done",
        )
