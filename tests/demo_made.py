"""The data of the demo firm, made once a day for this program: whoever needs it next, in whatever process, gets a copy."""

import fcntl
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import cache
from hashlib import blake2b
from os import getuid
from pathlib import Path

from app.config import Settings
from app.db.migrate import migrate
from app.db.session import Database
from app.interchange.library_file import load_library
from app.services.office import open_office
from seed_demo import load_if_empty

ROOT = Path(__file__).parents[1]
MADE_OF = ("app", "seed_demo", "templates", "static", "migrations")
NAME = f"outlay-demo-{getuid()}-"


def demo_copied(folder: Path) -> Path:
    """A data folder of the demo firm at `folder`, which is not there yet; its database is the SQLite file."""
    place = Path(tempfile.gettempdir())
    made = place / f"{NAME}{_of_today()}"
    with _alone(place / f"{NAME}being-made"):
        if not made.exists():
            for old in place.glob(f"{NAME}*-*"):
                if old.is_dir():
                    shutil.rmtree(old)
            subprocess.run([sys.executable, "-m", "tests.demo_made", made], check=True, cwd=ROOT)  # here a loop may run
        return Path(shutil.copytree(made, folder))


def _make(made: Path) -> None:
    with tempfile.TemporaryDirectory(prefix="outlay-making-", dir=made.parent) as making:
        data, library = Path(making) / "data", load_library()
        migrate(database := Database(Settings(data=data).database), Settings().migrations)  # so that it is the file
        database.close()
        office = open_office(Settings(data=data), library.basis(), cautions=library.cautions)
        load_if_empty(office)
        office.database.close()
        data.rename(made)


@cache
def _of_today() -> str:
    """The day, and what the program is made of: another day or another program makes other data."""
    sort = blake2b(digest_size=12)
    for folder in MADE_OF:
        for file in sorted((ROOT / folder).rglob("*")):
            if file.is_file() and "__pycache__" not in file.parts and "built" not in file.parts:
                sort.update(str(file.relative_to(ROOT)).encode() + b"\0" + file.read_bytes())
    return f"{datetime.now(UTC):%Y%m%d}-{sort.hexdigest()}"


@contextmanager
def _alone(lock: Path) -> Iterator[None]:
    with lock.open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


if __name__ == "__main__":
    _make(Path(sys.argv[1]))
