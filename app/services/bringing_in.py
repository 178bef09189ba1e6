"""Shapes of a drawing file taken over into the plan, each as what the person says: one change."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import Alternative, Existing, Run, Zone
from app.domain.plan.open_lines import points_and_rises
from app.domain.plan.outline import Outline, checked
from app.domain.plan.walks import ring_of
from app.domain.plan.wkt import read_line
from app.services import jobs
from app.services.jobs import OpenJob, Order, made
from app.services.office import Office
from app.services.zones import next_letter, next_position

ZONE, LINE, EXISTING, LEFT_OUT = "zone", "run", "existing", "none"
BECOMES = (ZONE, LINE, EXISTING, LEFT_OUT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A shape that was found, and what it becomes."""

    name: str
    wkt: str
    becomes: str

    @property
    def outline(self) -> Outline | None:
        """Its outline; None for a line. Raises: every refusal of an outline."""
        return checked(Outline(self.wkt)) if self.wkt.startswith(("POLYGON", "CURVEPOLYGON")) else None


def take_over(office: Office, job_id: UUID, chosen: Sequence[Chosen], order: Order) -> int:
    """Put the shapes on the plan; returns how many. A line cannot become a zone.

    Raises: BadValue naming the shape.
    """
    opened = jobs.open_job(office, job_id)
    taken = [one for one in chosen if one.becomes != LEFT_OUT]
    if jobs.is_saved(office, order.change_id):
        return len(taken)
    if not taken:
        raise BadValue("Nothing was chosen. Say for one shape at least what it becomes.")
    edits: list[Edit] = []
    letters: list[Zone] = []
    for number, one in enumerate(taken):
        new_id = uuid5(order.change_id, str(number))
        if one.becomes == ZONE:
            edits += _zone(opened, one, new_id, letters, number)
        else:
            make = _line if one.becomes == LINE else _thing
            edits.append(make(opened, one, new_id, number))
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"Brought in {len(taken)} shapes"))
    return len(taken)


def _zone(opened: OpenJob, one: Chosen, new_id: UUID, letters: list[Zone], number: int) -> Iterator[Edit]:
    outline = one.outline
    if outline is None:
        raise BadValue(f"“{one.name}” is an open line, and a zone is an outline. Take it as a line, or close it.")
    job = opened.job
    letter = next_letter(replace(job, zones=(*job.zones, *letters)))
    way = Alternative(id=uuid5(new_id, "way"), zone_id=new_id, title="As brought in", outline=outline)
    zone = Zone(
        id=new_id,
        letter=letter,
        title=one.name or f"Zone {letter}",
        chosen_id=way.id,
        phase_id=job.phases[0].id if job.phases else None,
        position=next_position(job.zones) + number,
    )
    letters.append(zone)
    yield made("zone", zone)
    yield made("alternative", way)


def _line(opened: OpenJob, one: Chosen, new_id: UUID, number: int) -> Edit:
    outline = one.outline
    points, rises = points_and_rises(ring_of(outline).pieces if outline else read_line(one.wkt))
    title, position = one.name or "Line", next_position(opened.job.runs) + number
    return made("run", Run(id=new_id, title=title, points=points, rises=rises, position=position))


def _thing(opened: OpenJob, one: Chosen, new_id: UUID, number: int) -> Edit:
    outline = one.outline
    points, rises = ((), ()) if outline else points_and_rises(read_line(one.wkt))
    return made(
        "existing",
        Existing(
            id=new_id,
            title=one.name or "What is there",
            kind="other",
            outline=outline,
            points=points,
            rises=rises,
            position=next_position(opened.job.existing) + number,
        ),
    )
