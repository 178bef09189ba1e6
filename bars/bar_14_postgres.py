"""The suite on PostgreSQL: the tests that touch the database, on a server that is started for them and stopped again.

At few it is the tests of the database itself. Where no server is installed nothing can be said, and that is said.
"""

import re
import shlex
import subprocess
import sys
from pathlib import Path

from bars import Figure

ROOT = Path(__file__).parents[1]
FEW = ("tests/db",)
COUNTED = re.compile(r"(\d+) (passed|failed|errors?|skipped)")
NAMED = re.compile(r"^(?:FAILED|ERROR) (\S+)", re.MULTILINE)


def measure(few: bool) -> tuple[Figure, ...]:
    """How many tests fail, or break, on PostgreSQL."""
    folders = FEW if few else tuple(shlex.split(_make_says("ON_POSTGRES")))
    words = [sys.executable, "-m", "tests.postgres_server", "-n", "2", "-m", "not browser", *folders]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode == 2 and not COUNTED.search(done.stdout):
        raise RuntimeError(done.stdout.strip() or done.stderr.strip())
    return (counted(done.stdout, done.returncode),)


def counted(said: str, code: int) -> Figure:
    """The figure that a run of the tests tells; one that ended otherwise than by its tests has failed."""
    counts = {what.rstrip("s"): int(number) for number, what in COUNTED.findall(said)}
    bad = counts.get("failed", 0) + counts.get("error", 0)
    note = f"{counts.get('passed', 0)} tests passed, {counts.get('skipped', 0)} are of the SQLite file itself"
    note = "; ".join((note, *NAMED.findall(said)[:3]))
    return Figure(what="failures on PostgreSQL", value=max(bad, int(code != 0)), limit=0, note=note)


def _make_says(name: str) -> str:
    """What the Makefile sets a name to: one list for both."""
    found = re.search(rf"^{name} := (.*)$", (ROOT / "Makefile").read_text(), re.MULTILINE)
    return found[1] if found else ""
