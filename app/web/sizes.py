"""How large what is sent may be: a form with a picture, or a whole job with all its photos."""

import re
from shutil import disk_usage

from starlette.types import Message, Receive

from app.config import Settings
from app.domain.errors import OutlayError

BODY_LIMIT = 40_000_000  # bytes; pictures and pages of terms are the largest things sent
JOB_LIMIT = 400_000_000  # bytes; a job with all its photos. What is larger than a form goes to the disk as it comes
JOBS_WHOLE = re.compile(r"/jobs/open-file|/jobs/[^/]+/along/bring-back|/commands/(?:import|bring-back)")
ROOM = 3  # times its size that must be free on the disk: as it comes, as it is kept, and what is in it
TOO_LARGE = "That is more than can be sent at once ({} MB). Nothing was changed."


def most_of(path: str) -> int:
    """How large a body an address takes [bytes]."""
    return JOB_LIMIT if JOBS_WHOLE.fullmatch(path) else BODY_LIMIT


def too_large(size: int, most: int, settings: Settings) -> str:
    """Why a body of this size [bytes] is not taken; nothing where it is."""
    if size > most:
        return TOO_LARGE.format(most // 1_000_000)
    if size > BODY_LIMIT and size * ROOM > disk_usage(settings.data).free:
        return "There is no room on the laptop's disk for a file of that size. Nothing was changed; make room first."
    return ""


def limited(receive: Receive, most: int) -> Receive:
    """Count the body as it comes, for requests that do not say how long they are."""
    total = 0

    async def counted() -> Message:
        nonlocal total
        message = await receive()
        total += len(message.get("body", b""))
        if total > most:
            raise TooLarge(TOO_LARGE.format(most // 1_000_000))
        return message

    return counted


class TooLarge(OutlayError):
    """The body is larger than is taken."""

    status = 413
