"""Answers given before the commit: a fault at the commit of every changing route, by the requests of the web's tests.

The routes are found by asking the application; `bars/faulting.py` sends each request of the tests once with a database
that cannot commit. A success answered then, or anything saved, counts. Routes that keep nothing (they only look, or
search and show) are named in KEEPS_NOTHING; any other that no test brings to a commit counts as not reached.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from app.main import create_app
from bars import Figure
from bars.faulting import changing_routes
from bars.saving import opened

TESTS, FEW = ("tests/web",), ("tests/web/test_client.py",)
KEEPS_NOTHING = {
    "/face/ours",  # a cookie
    "/jobs/{job_id}/face",
    "/backups/make",  # files, never rows
    "/backups/elsewhere",
    "/backups/portable",
    "/firm/share/on",  # a switch of the running server
    "/firm/share/off",
    "/firm/share/plain",
    "/jobs/{job_id}/choices/best",  # searched, read and shown; what is taken of it has an address of its own
    "/jobs/{job_id}/plan/bring-in",
    "/prices/list",
    "/prices/list/{list_id}",
    "/jobs/{job_id}/drivers/swings/stop",  # a search ended
    "/jobs/{job_id}/estimate/trials/stop",
    "/jobs/{job_id}/past/read/stop",
}


def routes() -> set[str]:
    """Every changing route there is."""
    with tempfile.TemporaryDirectory() as folder:
        office = opened(Path(folder) / "data")
        found = {str(one.path) for one in changing_routes(create_app(office))}
        office.database.close()
    return found


def seen(tests: tuple[str, ...]) -> tuple[list[dict[str, int | str]], list[str]]:
    """What was seen with a fault before each change of the tests, and which of them fail after one."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "seen"
        chosen = ["-m", "not slow and not browser", "-k", "not nonsense"]  # nonsense is refused before any commit
        words = [sys.executable, "-m", "pytest", "-q", "-n", "2", "-p", "bars.faulting", *chosen, *tests]
        told = {**os.environ, "OUTLAY_FAULTS": str(file)}
        ran = subprocess.run(words, check=False, env=told, capture_output=True, text=True)
        if not file.exists():
            raise RuntimeError(ran.stdout[-3000:] + ran.stderr[-1000:])
        failed = re.findall(r"^(?:FAILED|ERROR) (\S+)", ran.stdout, re.MULTILINE)
        return [json.loads(line) for line in file.read_text().splitlines()], failed


def measure(few: bool) -> tuple[Figure, ...]:
    """Answers of success, and routes that were not brought to a commit."""
    found, failed = seen(FEW if few else TESTS)
    faulted = [one for one in found if one["commits"]]
    early = [one for one in faulted if int(one["status"]) < 400 or one["saved"]]
    reached = {str(one["route"]) for one in faulted}
    note = f"{len(faulted)} requests of {len(reached)} routes" + "".join(f", {one['route']}" for one in early[:3])
    figures = (
        Figure(what="answers of success before the commit", value=len(early), limit=0, note=note),
        Figure(what="tests that fail after a failed commit", value=len(failed), limit=0, note=", ".join(failed[:5])),
    )
    if few:
        return figures
    missed = sorted(routes() - reached - KEEPS_NOTHING)
    return (*figures, Figure(what="changing routes not reached", value=len(missed), limit=0, note=", ".join(missed)))
