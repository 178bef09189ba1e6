"""The migrations lead to the tables as declared."""

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from app.config import Settings
from app.db.migrate import migrate
from app.db.session import Database, DatabaseBroken
from app.db.tables import METADATA


def test_migrated_database_has_the_declared_tables(new_database: Database) -> None:
    database = new_database
    migrate(database, Settings().migrations)
    with database.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    migrate(database, Settings().migrations)  # a second start changes nothing


def test_database_of_a_newer_program_is_refused(new_database: Database) -> None:
    database = new_database
    migrate(database, Settings().migrations)
    with database.write() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(DatabaseBroken, match="newer"):
        migrate(database, Settings().migrations)


def test_packet_of_an_older_database_keeps_the_works_that_are_there(new_database: Database) -> None:
    database = new_database
    migrate(database, Settings().migrations, to="0034")
    row = "VALUES ('f', '{}', 'j', 1, 'c'{})"
    with database.write() as connection:
        connection.exec_driver_sql(
            "INSERT INTO work (firm_id, thing_id, job_id, version, last_change) " + row.format("w1", "")
        )
        connection.exec_driver_sql(
            "INSERT INTO packet (firm_id, thing_id, job_id, version, last_change, works) "
            + row.format("p", """, '["w1", "gone"]'""")
        )
    migrate(database, Settings().migrations)
    with database.read() as connection:
        assert connection.exec_driver_sql("SELECT work_ids FROM packet").scalar_one() == '["w1"]'
