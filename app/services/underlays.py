"""A photo or plat below the plan: taken in like a photo, scaled by two points of known distance, turned to north."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import atan2, cos, degrees, dist, radians, sin
from typing import Any
from uuid import UUID, uuid5

from app.db.files import FileStore
from app.domain.errors import BadValue
from app.domain.job import Underlay
from app.domain.plan.arcs import Point
from app.interchange.pictures import size_of_picture
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.photos import PNG, Picture
from app.services.zones import find, next_position
from app.worker import run_in_worker

FIRST_WIDTH = 60.0  # ft: how wide a picture lies until two of its points are known
EXACT = 1 / 96  # ft: what is shown of a length
LEAST_PX = 8.0  # between two known points


async def add_underlay(office: Office, job_id: UUID, content: bytes, title: str, order: Order) -> UUID:
    """Take a picture in, without place or camera, and lay it below the plan; returns its id.

    Raises: BadValue beside `file`, on what is no picture we read or one that is too large.
    """
    opened = jobs.open_job(office, job_id)
    if not content:
        raise BadValue("Choose a picture or a scanned plat first.", field="file")
    clean = await run_in_worker("picture", content)
    width, height = size_of_picture(clean)
    one = Underlay(
        id=uuid5(order.change_id, "underlay"),
        file=FileStore(office.settings.files).keep(clean),
        title=title or "Picture below the plan",
        width=width,
        height=height,
        scale=FIRST_WIDTH / width,
        position=next_position(opened.job.underlays),
    )
    jobs.save(office, job_id, (made("underlay", one),), replace(order, what=f"Picture below: {one.title}"))
    return one.id


def change_underlay(
    office: Office, job_id: UUID, underlay_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Change where a picture lies and how it is shown; `across` is how wide it is in the yard [ft].

    Raises: NotFound, Stale, BadValue for a width of nothing.
    """
    one: Underlay = find(jobs.open_job(office, job_id).job.underlays, underlay_id, "picture below the plan")
    fields = {name: value for name, value in values.items() if name != "across" and value is not None}
    across = values.get("across")
    if across is not None:
        if across <= 0:
            raise BadValue("A picture has a width. Type how wide it is in the yard.", field="across")
        if abs(across - one.width * one.scale) > EXACT:  # what was only shown again changes nothing
            fields["scale"] = across / one.width
    edit = changed("underlay", underlay_id, version, fields)
    return jobs.save(office, job_id, (edit,), replace(order, what=order.what or one.title))


def read_underlay(office: Office, job_id: UUID, underlay_id: UUID) -> Picture:
    """The picture of an underlay of this job. Raises: NotFound."""
    one: Underlay = find(jobs.open_job(office, job_id).job.underlays, underlay_id, "picture below the plan")
    content = FileStore(office.settings.files).read(one.file)
    return Picture(content, "image/png" if content.startswith(PNG) else "image/jpeg", one.file)


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Two places of the plan [ft] as the picture lies now, and how far they are apart in the yard [ft].

    `along`: the direction [degrees, 0 right, 90 up] in which the second lies from the first; None: as it is turned.
    """

    start: Point
    end: Point
    length: float
    along: float | None = None


def scale_underlay(
    office: Office, job_id: UUID, underlay_id: UUID, known: Known, version: int, order: Order
) -> Applied:
    """Scale a picture by two of its points, and turn it where their direction is known; the first point stays put.

    Raises: NotFound, Stale, BadValue where the points lie too near to each other.
    """
    one: Underlay = find(jobs.open_job(office, job_id).job.underlays, underlay_id, "picture below the plan")
    start, end = on_picture(one, known.start), on_picture(one, known.end)
    if dist(start, end) < LEAST_PX or known.length <= 0:
        raise BadValue("The two points lie too near to each other. Choose two that are far apart.", field="drawn")
    turn = one.turn
    if known.along is not None:
        way = degrees(atan2(known.end[1] - known.start[1], known.end[0] - known.start[0]))
        turn = (one.turn + way - known.along) % 360
    scaled = replace(one, scale=known.length / dist(start, end), turn=turn)
    x, y = on_plan(scaled, start)
    fields: Mapping[str, Any] = {
        "scale": scaled.scale,
        "turn": turn,
        "x": one.x + known.start[0] - x,
        "y": one.y + known.start[1] - y,
        "known_from": start,
        "known_to": end,
        "known_length": known.length,
    }
    edit = changed("underlay", underlay_id, version, fields)
    return jobs.save(office, job_id, (edit,), replace(order, what=f"Scale of {one.title}"))


def on_plan(one: Underlay, px: Point) -> Point:
    """Where a point of the picture [px from its upper left corner] lies on the plan [ft].

    >>> from uuid import UUID
    >>> on_plan(Underlay(id=UUID(int=1), width=100, height=50, x=2, y=3, scale=0.5), (10, 50))
    (7.0, 3.0)
    """
    across, up = px[0] * one.scale, (one.height - px[1]) * one.scale
    c, s = cos(radians(one.turn)), sin(radians(one.turn))
    return one.x + across * c + up * s, one.y - across * s + up * c


def on_picture(one: Underlay, at: Point) -> Point:
    """Which point of the picture [px from its upper left corner] lies at a place of the plan [ft]."""
    east, north = at[0] - one.x, at[1] - one.y
    c, s = cos(radians(one.turn)), sin(radians(one.turn))
    across, up = east * c - north * s, east * s + north * c
    return across / one.scale, one.height - up / one.scale
