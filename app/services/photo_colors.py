"""Colors of materials taken from photos of a job: where the white card and the stone were tapped, worked out here."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

import msgspec

from app.db.files import FileStore
from app.domain.errors import BadValue
from app.domain.job import Photo
from app.domain.palette.picked import Patch, Picked, picked
from app.domain.units import format_day
from app.interchange.pictures import size_of_picture
from app.services import book, jobs, library
from app.services.jobs import Order
from app.services.office import Office
from app.services.zones import find
from app.worker import run_in_worker

Place = tuple[float, float]  # shares of the picture's width and height, from its upper left corner


@dataclass(frozen=True, slots=True)
class Taps:
    """Where somebody tapped: the white card, then the stone."""

    white: Place | None = None
    stone: Place | None = None


async def pick(office: Office, job_id: UUID, photo_id: UUID, taps: Taps) -> Picked | None:
    """The color at the taps; None while not both are there. Raises: NotFound, BadValue beside `white` or `stone`."""
    photo: Photo = find(jobs.open_job(office, job_id).job.photos, photo_id, "photo")
    if taps.white is None or taps.stone is None:
        return None
    content = FileStore(office.settings.files).read(photo.file)
    order = {"picture": content, "places": {"white": taps.white, "stone": taps.stone}}
    found = msgspec.json.decode(await run_in_worker("patches", order), type=dict[str, Patch])
    return picked(found["white"], found["stone"])


async def take(office: Office, job_id: UUID, photo_id: UUID, taps: Taps, material: str, order: Order) -> Picked:
    """Give a material the color at the taps, as the firm's own, with the day and how far it may be off.

    `material` is its key and the version it was read at, `KEY@VERSION`. Raises: NotFound, BadValue, Stale.
    """
    found = await pick(office, job_id, photo_id, taps)
    if found is None:
        raise BadValue("Tap the white card, then the stone.", field="form")
    day = office.today()
    fields = {
        "color": found.color,
        "color_as": f"photo, {format_day(day)}",
        "color_within": round(found.within, 1),
        "blend": {},
    }
    key, _, version = material.partition("@")
    known = int(version) if version.isdecimal() and len(version) < 10 else 0
    library.save_thing(office, "material", key, known, fields, order)
    return found


def size_of(office: Office, photo: Photo) -> tuple[int, int]:
    """Width and height [px] of a kept photo."""
    return size_of_picture(FileStore(office.settings.files).read(photo.file))


@dataclass(frozen=True, slots=True)
class Takes:
    """A material that may take a color: its key and version as a form names it, and its title."""

    named: str
    title: str


def may_take(office: Office, keys: Iterable[str]) -> tuple[Takes, ...]:
    """These materials of the book, by title."""
    materials, own = office.basis().materials, book.own(office, "material")
    found = [(materials[key].title, key) for key in dict.fromkeys(keys) if key in materials]
    return tuple(Takes(f"{key}@{own.version('material', key)}", title) for title, key in sorted(found))
