"""Data of an earlier release is brought forward on a copy: checked, undone on failure, and whole when killed in it."""

import os
import shutil
import signal
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import inspect

from app.config import Settings
from app.db.migrate import COPY, _config, is_current, migrate
from app.db.session import Database, DatabaseBroken, database_of
from app.domain.basis import Basis
from app.services import backups, jobs
from app.services.office import Office, open_office

NEXT = """
import os, signal
import sqlalchemy as sa
from alembic import op
revision = "next"
down_revision = "{head}"
branch_labels = depends_on = None

def upgrade() -> None:
    op.add_column("job", sa.Column("colour", sa.Text()))
    {does}
"""


def scripts_with(folder: Path, does: str) -> Path:
    """The migrations and one more."""
    scripts = folder / "migrations"
    shutil.copytree(Settings().migrations, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    head = ScriptDirectory.from_config(_config(scripts)).get_current_head()
    (scripts / "versions" / "next.py").write_text(NEXT.format(head=head, does=does))
    return scripts


def as_it_was(office: Office, job_id, before) -> None:
    again = open_office(office.settings, Basis(), office.clock)
    assert jobs.open_job(again, job_id).job == before
    assert backups.faults(again) == ()
    again.database.close()
    assert not list(office.settings.data.glob(f"{COPY}*"))


def columns(database: Database) -> list[str]:
    with closing(database), database.read() as connection:
        return [one["name"] for one in inspect(connection).get_columns("job")]


def test_brought_forward_on_a_copy_and_the_one_before_is_kept(office: Office, job_id, tmp_path: Path) -> None:
    before = jobs.open_job(office, job_id).job
    migrate(office.database, scripts_with(tmp_path, "pass"))
    assert "colour" in columns(database_of(office.settings))
    assert jobs.open_job(office, job_id).job == before
    kept = list(office.settings.data.glob("before-update-*.db"))
    assert len(kept) == 1
    assert "colour" not in columns(Database(kept[0]))
    assert is_current(office.database, tmp_path / "migrations")


@pytest.mark.parametrize(
    ("does", "said"),
    [
        ("op.execute('UPDATE no_such_table SET a = 1')", "(no such table|does not exist)"),
        ("op.execute('DELETE FROM site')", "does not hold what was there: site"),
    ],
)
def test_migration_that_fails_or_loses_something_is_undone(
    office: Office, job_id, tmp_path: Path, does: str, said: str
) -> None:
    before = jobs.open_job(office, job_id).job
    scripts = scripts_with(tmp_path, does)
    with pytest.raises(DatabaseBroken, match=f"Nothing was changed.*{said}"):
        migrate(office.database, scripts)
    assert "colour" not in columns(database_of(office.settings))
    office.database.close()
    as_it_was(office, job_id, before)


@pytest.mark.parametrize(
    "moment",
    [
        "in the migration",
        *[
            pytest.param(moment, marks=pytest.mark.sqlite_file("a copy takes the place of the file"))
            for moment in ("before it takes its place", "after")
        ],
    ],
)
def test_killed_in_the_middle_the_data_is_whole(office: Office, job_id, tmp_path: Path, moment: str) -> None:
    before = jobs.open_job(office, job_id).job
    office.database.close()
    die = "os.kill(os.getpid(), signal.SIGKILL)"
    scripts = scripts_with(tmp_path, die if moment == "in the migration" else "pass")
    patch = {
        "in the migration": "",
        "before it takes its place": f"migrate._take_its_place = lambda *a: {die}",
        "after": f"migrate._clear = lambda c, n=[]: n.append(1) or (len(n) > 1 and {die})",
    }[moment]
    program = f"""
import os, signal
from pathlib import Path
from app.db import migrate
from app.config import Settings
from app.db.session import database_of
{patch}
migrate.migrate(database_of(Settings(data=Path({str(office.settings.data)!r}))), Path({str(scripts)!r}))
"""
    ended = subprocess.run([sys.executable, "-c", program], env=os.environ, capture_output=True, check=False)
    assert ended.returncode == -signal.SIGKILL, ended.stderr.decode()
    assert ("colour" in columns(database_of(office.settings))) == (moment == "after")
    database = database_of(office.settings)
    (scripts / "versions" / "next.py").write_text((scripts / "versions" / "next.py").read_text().replace(die, "pass"))
    migrate(database, scripts)  # the next start goes on
    database.close()
    assert "colour" in columns(database_of(office.settings))
    assert not list(office.settings.data.glob(f"{COPY}*"))
    assert jobs.open_job(office, job_id).job == before
