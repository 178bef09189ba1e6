"""A picture that comes with something else that is written down: kept in the same change."""

from datetime import date
from uuid import UUID, uuid5

from app.db.files import FileStore
from app.domain.change import Edit
from app.domain.job import Photo
from app.services.jobs import Order, made
from app.services.office import Office
from app.worker import run_in_worker


async def with_photo(
    office: Office, picture: bytes, order: Order, *, caption: str, when: str, day: date, name: str = "photo"
) -> tuple[UUID | None, tuple[Edit, ...]]:
    """The photo's id and the edit that makes it; nothing where no picture came.

    Raises: BadValue for what is no picture.
    """
    if not picture:
        return None, ()
    clean = await run_in_worker("picture", picture)
    photo = Photo(
        id=uuid5(order.change_id, name),
        file=FileStore(office.settings.files).keep(clean),
        caption=caption[:200],
        when=when,
        taken=day,
    )
    return photo.id, (made("photo", photo),)
