"""A file that comes in pieces: what has come is kept for a day, so that a cut line costs one piece and not the file.

It is named by the SHA-256 of its whole content, which is held against it at the end. What it is, and how large it may
be, is looked at by whoever takes it, as of a file that came at once.
"""

import os
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

from app.config import Settings
from app.db.disk import writing_to
from app.db.files import HASH
from app.domain.errors import BadValue, NotFound, Refused
from app.services.office import Office

FOLDER = "pieces"
PIECE = 512 * 1024  # bytes: some seconds over a poor mobile network
MOST = 40_000_000  # bytes of one file: no more than is taken at once
MOST_KEPT = 10  # files that have not come whole, or were not asked for yet
KEPT_FOR = timedelta(days=1)


def there(office: Office, name: str) -> int:
    """How much of a file has come [bytes]. Raises: NotFound for what is no name of a file."""
    place = _place(office.settings, name)
    return place.stat().st_size if place.exists() else 0


def add(office: Office, name: str, at: int, size: int, piece: bytes) -> int:
    """Add a piece that begins `at` [bytes] to a file of `size` [bytes]; how much has come then.

    A piece that begins elsewhere than where the file ends is left: the answer says where to go on.
    Raises: BadValue, Refused, DiskTrouble; nothing is kept of a file that is not what it was named.
    """
    if not 0 < size <= MOST:
        raise BadValue(f"A file of {size:,} bytes is more than is taken ({MOST // 1_000_000} MB). Nothing was kept.")
    if len(piece) > PIECE or at < 0 or at + len(piece) > size:
        raise BadValue("That piece does not fit into its file. Nothing was kept of it; send the file again.")
    place = _place(office.settings, name)
    with writing_to(office.settings.data):
        clear(office.settings, office.clock())
        if not place.exists():
            _begin(place)
        if place.stat().st_size == at:
            _append(place, piece)
        os.utime(place, (office.clock().timestamp(),) * 2)  # it lasts for a day by the clock that ends it
    come = place.stat().st_size
    if come >= size and sha256(place.read_bytes()).hexdigest() != name:
        drop(office, name)
        raise BadValue("What came is not the file that was sent: something was lost on the way. Send it again.")
    return come


def take(office: Office, name: str) -> bytes:
    """A file that has come whole. Raises: BadValue, to be sent again, where it has not, or is no more kept."""
    place = _place(office.settings, name)
    content = place.read_bytes() if place.exists() else b""
    if sha256(content).hexdigest() != name:
        raise BadValue("The file has not come whole, or was sent more than a day ago. Send it again.", field="file")
    return content


def drop(office: Office, name: str) -> None:
    """Let go of a file: it was taken, or is wanted no more."""
    _place(office.settings, name).unlink(missing_ok=True)


def clear(settings: Settings, now: datetime) -> None:
    """Let go of what has lain for longer than a day."""
    for place in (settings.data / FOLDER).glob("*"):
        if datetime.fromtimestamp(place.stat().st_mtime, tz=now.tzinfo) < now - KEPT_FOR:
            place.unlink(missing_ok=True)


def _begin(place: Path) -> None:
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if sum(1 for _ in place.parent.glob("*")) >= MOST_KEPT:
        raise Refused("Too many files are on their way at once. Wait until one of them is there, then send this again.")
    os.close(os.open(place, os.O_CREAT | os.O_WRONLY, 0o600))


def _append(place: Path, piece: bytes) -> None:
    with place.open("ab") as file:
        file.write(piece)
        file.flush()
        os.fsync(file.fileno())


def _place(settings: Settings, name: str) -> Path:
    if not HASH.fullmatch(name):
        raise NotFound(f"“{name[:70]}” names no file.")
    return settings.data / FOLDER / name
