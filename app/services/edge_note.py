"""The margin note of one shared edge: its measures, what may be built on it, which others are like it, its steps."""

from dataclasses import dataclass

from app.domain.checks.steps import flight_words
from app.domain.job import Zone
from app.domain.plan.edges import GROUND
from app.domain.plan.levels import Drop
from app.domain.takeoff.holding import WIDE
from app.domain.takeoff.meeting import meetings
from app.domain.units import System, format_length
from app.services.deciding import StepsOffer, Where, alike, steps_for
from app.services.edges import EdgeLine, edges_of, stretch_at
from app.services.jobs import OpenJob
from app.services.sheets import Sheet
from app.services.work_lines import Recipe, WorkLine, recipes_for, work_lines

SAME = 1 / 16 / 12  # ft: what a level is read to


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeNote:
    """The margin note of an edge. `several` and `alike` count the stretches a decision may be for.

    `all_alike` counts with those that were decided already.
    """

    zone: Zone
    line: EdgeLine
    works: tuple[WorkLine, ...]
    recipes: tuple[Recipe, ...]
    several: int
    alike: int
    all_alike: int
    drop: str
    steps: str  # what steps would be built, in words; empty: none are wanted, or they are there
    going: str  # how far they reach out
    width: str  # how wide they are unless somebody says otherwise
    door: str  # the door that they lead up to
    holds: str  # which recipe takes the place of what the surfaces beside it put there; empty: none does
    holds_part: str  # which one does so over its own width only


def edge_note(view: Sheet, focus: str) -> EdgeNote | None:
    """The edge that is in focus: `edge:ID`, or `edge:ZONE:NEIGHBOR` (`:NUMBER` of several stretches)."""
    _, _, rest = focus.partition(":")
    zone_key, _, key = rest.partition(":")
    for zone in view.job.zones:
        if key and str(zone.id) != zone_key:
            continue
        lines = edges_of(view.opened, zone)
        line = (
            stretch_at(lines, key)
            if key
            else next((one for one in lines if one.edge and str(one.edge.id) == zone_key), None)
        )
        if line is not None:
            return _note(view, zone, line, lines)
    return None


def _note(view: Sheet, zone: Zone, line: EdgeLine, lines: tuple[EdgeLine, ...]) -> EdgeNote:
    system = view.basis.firm.system
    steps = _steps(view.opened, zone, line)
    return EdgeNote(
        zone=zone,
        line=line,
        works=work_lines(view, line.works),
        recipes=recipes_for(view.basis, "edge", zone.kind),
        several=sum(one.neighbor == line.neighbor for one in lines),
        alike=_alike(view.opened, zone, line, decided=False),
        all_alike=_alike(view.opened, zone, line, decided=True),
        drop=drop_words(line.drop, system),
        steps=flight_words(steps.flight, system) if steps else "",
        going=format_length(steps.flight.going, system) if steps else "",
        width=format_length(steps.width, system) if steps else "",
        door=steps.door if steps else "",
        holds=_holding(view.opened, line),
        holds_part=_holding_part(view.opened, line),
    )


def _alike(opened: OpenJob, zone: Zone, line: EdgeLine, *, decided: bool) -> int:
    where = Where(neighbor=line.neighbor, at=line.at)
    return len(alike(opened, zone.id, where, decided=decided)) if line.at else 0


def _steps(opened: OpenJob, zone: Zone, line: EdgeLine) -> StepsOffer | None:
    met = next((one for one in meetings(opened.job) if one.zone_id == zone.id and one.stretch.middle == line.at), None)
    offer = steps_for(opened, met)
    return offer if offer and all(work.assembly != offer.built.decision for work in line.works) else None


def _holding(opened: OpenJob, line: EdgeLine) -> str:
    found = [opened.basis.assemblies.get(work.assembly) for work in line.works]
    return next((one.title for one in found if one and one.holds and WIDE not in one.parameters), "")


def _holding_part(opened: OpenJob, line: EdgeLine) -> str:
    """What takes the place of the restraint over its own width, such as steps down to open ground."""
    found = [opened.basis.assemblies.get(work.assembly) for work in line.works if line.neighbor == GROUND]
    return next((one.title for one in found if one and one.holds and WIDE in one.parameters), "")


def drop_words(drop: Drop | None, system: System) -> str:
    """A drop as a zone sees it: `1'-6" down to it`, `level`, `5" to 9" up to it`; empty where it is not known."""
    if drop is None:
        return ""
    low, high = sorted((drop.least, drop.most))
    if max(abs(low), abs(high)) < SAME:
        return "level"
    near, far = sorted((abs(low), abs(high)))
    if low < -SAME and high > SAME:
        return f"{format_length(abs(low), system)} up to {format_length(high, system)} down"
    deep = format_length(far, system)
    said = deep if far - near < SAME else f"{format_length(near, system)} to {deep}"
    return f"{said} {'down' if high > SAME else 'up'} to it"
