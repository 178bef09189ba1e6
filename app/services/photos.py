"""Photos of a job: taken in by what they are, kept by the hash of their bytes, handed out to their own job only."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid4

from app.db.files import FileStore
from app.db.small_pictures import SmallPictures
from app.domain.errors import BadValue
from app.domain.job import Photo
from app.services import jobs
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.zones import find
from app.worker import run_in_worker

PNG = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, slots=True)
class Picture:
    """The bytes of a kept picture and what they are."""

    content: bytes
    kind: str
    name: str


async def add_photo(office: Office, job_id: UUID, content: bytes, values: Mapping[str, Any], order: Order) -> UUID:
    """Take a picture in: written anew by the worker without place or camera, then kept. Returns the photo's id.

    Raises: BadValue beside `file`, on what is no picture we read.
    """
    jobs.open_job(office, job_id)
    if not content:
        raise BadValue("Choose a picture first.", field="file")
    clean = await run_in_worker("picture", content)
    given = {name: value for name, value in values.items() if value not in (None, "")}
    photo = Photo(**{**given, "id": uuid4(), "file": FileStore(office.settings.files).keep(clean)})
    jobs.save(office, job_id, (made("photo", photo),), replace(order, what="Photo added"))
    return photo.id


def read_photo(office: Office, job_id: UUID, photo_id: UUID) -> Picture:
    """A picture of this job. Raises: NotFound for one of another job, or gone."""
    photo: Photo = find(jobs.open_job(office, job_id).job.photos, photo_id, "photo")
    return _picture(FileStore(office.settings.files).read(photo.file), photo.file)


async def read_small(office: Office, job_id: UUID, photo_id: UUID) -> Picture:
    """A picture of this job made small for a list; made by the worker when it is first asked for.

    Raises: NotFound for one of another job, or gone.
    """
    photo: Photo = find(jobs.open_job(office, job_id).job.photos, photo_id, "photo")
    kept = SmallPictures(office.settings.small)
    small = kept.read(photo.file)
    if small is None:
        small = await run_in_worker("small picture", FileStore(office.settings.files).read(photo.file))
        kept.keep(photo.file, small)
    return _picture(small, f"{photo.file}-small")


def _picture(content: bytes, name: str) -> Picture:
    return Picture(content, "image/png" if content.startswith(PNG) else "image/jpeg", name)
