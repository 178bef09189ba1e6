"""The tables of the record refuse every change and removal: erasing a client lifts that, and puts it back."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

_GUARDS = "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE '%\\_never\\_%' ESCAPE '\\'"
_LIFT_OF_FILE = (
    "DROP TRIGGER IF EXISTS record_never_update",
    "DROP TRIGGER IF EXISTS revision_file_never_delete",
)
_LIFT_OF_SERVER = (
    "ALTER TABLE record DISABLE TRIGGER record_never_changes",
    "ALTER TABLE revision_file DISABLE TRIGGER revision_file_never_changes",
)
_PUT_BACK_OF_SERVER = (
    "ALTER TABLE record ENABLE TRIGGER record_never_changes",
    "ALTER TABLE revision_file ENABLE TRIGGER revision_file_never_changes",
)


@contextmanager
def lifted(connection: Connection) -> Iterator[None]:
    """Within the transaction of the block entries may be emptied and papers taken out; after it nothing may again.

    The guards are part of the transaction: one that fails or is killed leaves them as they were.
    """
    if connection.dialect.name == "sqlite":
        lift, put_back = _LIFT_OF_FILE, tuple(connection.exec_driver_sql(_GUARDS).scalars())
    else:
        lift, put_back = _LIFT_OF_SERVER, _PUT_BACK_OF_SERVER
    for one in lift:
        connection.exec_driver_sql(one)
    yield
    still = set(connection.exec_driver_sql(_GUARDS).scalars()) if connection.dialect.name == "sqlite" else set()
    for one in put_back:
        if one not in still:
            connection.exec_driver_sql(one)
