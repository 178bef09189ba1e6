"""The data moves into a PostgreSQL database, and back into the SQLite file; what was there stays, beside it."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from app.config import SERVER, Settings
from app.db import postgres
from app.db.backup import Inside, look_inside
from app.db.disk import writing_to
from app.db.files import flush, write_whole
from app.db.migrate import copy_of, migrate
from app.db.moving import hold_against, is_empty, take_in
from app.db.session import Database, database_of
from app.domain.errors import NotFound, Refused
from app.services.office import Clock, utc_now

KEPT = "before-move-"


def to_server(settings: Settings, address: str, *, clock: Clock = utc_now) -> Inside:
    """Move the data into an empty database on a server, and have it opened there from now on.

    Killed at any moment, the data is whole where the file `database` says, or where it was.
    Raises: NotFound without data; Refused where it lies there already, or the other holds something; DiskTrouble.
    """
    if not address.startswith(postgres.ADDRESSES):
        raise Refused(f"“{address[:60]}” names no database. One is named like this: postgresql:///outlay")
    if settings.server:
        raise Refused("The data lies on a server already. Move it back first (outlay move-data file), then there.")
    _refuse_none(settings)
    with closing(Database(settings.database)) as here, closing(Database(settings.database, address)) as there:
        if not is_empty(there):
            raise Refused("That database holds something already. Nothing was changed; make an empty one for Outlay.")
        migrate(here, settings.migrations)
        with _aside(settings) as copy:
            copy_of(here, copy, settings.migrations)
            inside = look_inside(copy)
            take_in(there, copy, settings.migrations)
    with writing_to(settings.data):
        write_whole(settings.data / SERVER, f"{address}\n".encode(), mode=0o600)  # it may hold a password
        settings.database.replace(_kept(settings, clock()))
        flush(settings.data)
    return inside


def to_file(settings: Settings, *, clock: Clock = utc_now) -> Inside:
    """Move the data from a server back into the SQLite file; the database there stays as it is.

    Raises: Refused where it lies in the file already; CopyBroken, DiskTrouble.
    """
    if not settings.server:
        raise Refused("The data lies in the SQLite file already. Nothing was changed.")
    with closing(database_of(settings)) as there, _aside(settings) as copy:
        migrate(there, settings.migrations)
        copy_of(there, copy, settings.migrations)
        inside = look_inside(copy)
        hold_against(there, copy)
        with writing_to(settings.data):
            flush(copy)
            if settings.database.exists():
                settings.database.replace(_kept(settings, clock()))
            copy.replace(settings.database)
            (settings.data / SERVER).unlink()  # from here on it is the file that is opened
            flush(settings.data)
    return inside


def _refuse_none(settings: Settings) -> None:
    if not settings.database.exists():
        raise NotFound(f"There is no data in {settings.data}. Say where with --data, or start with `outlay serve`.")


@contextmanager
def _aside(settings: Settings) -> Iterator[Path]:
    with writing_to(settings.data), TemporaryDirectory(prefix="moving-", dir=settings.data) as folder:
        yield Path(folder) / "outlay.db"


def _kept(settings: Settings, now: datetime) -> Path:
    return settings.data / f"{KEPT}{now:%Y-%m-%d-%H%M%S}.db"
