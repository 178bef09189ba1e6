"""A file somebody opens on Home: a job of its own, a job taken along from an office, or one that comes back to it."""

from app.interchange.along_file import BACK, is_along
from app.services import job_files
from app.services.bringing_back import receive
from app.services.job_files import BroughtIn
from app.services.jobs import Order
from app.services.office import Office
from app.services.opening_along import open_along, read_file


async def open_any_file(office: Office, content: bytes, order: Order) -> str:
    """Open it as what it is; where to go on, as the address of a sheet below `/jobs/`.

    Raises: BadValue, Refused, in a sentence.
    """
    if not is_along(content):
        return f"{job_files.bring_in(office, content, order).job_id}/client"
    held = read_file(content)
    if held.about.way == BACK:
        return "{}/along/brought/{}".format(*await receive(office, content))
    return f"{open_along(office, held, order)}/along"


def bring_in_any(office: Office, content: bytes, order: Order) -> BroughtIn:
    """The same for a command, which looks into nothing: a job of its own, or one taken along.

    Raises: BadValue, Refused, in a sentence.
    """
    if not is_along(content):
        return job_files.bring_in(office, content, order)
    return BroughtIn(job_id=open_along(office, read_file(content), order), missing=0, same=True)
