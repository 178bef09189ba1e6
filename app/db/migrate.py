"""Bring a database forward to the tables this program knows."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from app.db.session import Database, DatabaseBroken


def migrate(database: Database, scripts: Path, *, to: str = "head") -> None:
    """Run every migration the database has not had, in one transaction; `to` stops at an earlier one.

    Raises: DatabaseBroken when the database was made by a newer program.
    """
    config = _config(scripts)
    with database.write() as connection:
        _refuse_newer(connection, config)
        config.attributes["connection"] = connection
        command.upgrade(config, to)


def is_current(database: Database, scripts: Path) -> bool:
    """Whether the database has had every migration this program knows."""
    newest = ScriptDirectory.from_config(_config(scripts)).get_current_head()
    with database.read() as connection:
        return MigrationContext.configure(connection).get_current_revision() == newest


def new_migration(database: Database, scripts: Path, message: str) -> None:
    """Write the migration that leads from the database as it is to the tables as declared (for developers)."""
    config = _config(scripts)
    with database.write() as connection:
        config.attributes["connection"] = connection
        number = len(list(ScriptDirectory.from_config(config).walk_revisions())) + 1
        command.revision(config, message, autogenerate=True, rev_id=f"{number:04d}")


def _config(scripts: Path) -> Config:
    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def _refuse_newer(connection: Connection, config: Config) -> None:
    current = MigrationContext.configure(connection).get_current_revision()
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if current is not None and current not in known:
        raise DatabaseBroken(
            "This data was written by a newer Outlay. Nothing was touched; start the newer version, "
            "or use another folder."
        )
