"""Several people count one number up at once: each reads it, adds one and saves. Every addition must be in the end.

Whoever was behind is refused, told both values, and adds to the new one. Were a save to overwrite another unseen, the
number would end lower than the additions that were acknowledged.
"""

import re
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from uuid import UUID

from app.services.jobs import open_job
from bars import Figure
from bars.saving import Page, opened, prepared
from tests.served import serving

CLIENTS, EDITS, FEW = 6, 30, 8
VERSION = re.compile(r'data-stale>.*?name="version" value="(\d+)"', re.DOTALL)
THEIRS = re.compile(r"<b data-theirs>(\d+) of \d</b>")


def count_up(address: str, job_id: UUID, edits: int, who: int) -> int:
    """Add one so many times; how often it was refused first."""
    refused = 0
    with Page.of(address, job_id) as page:
        version, number = 1, 0
        for _ in range(edits):
            while (answer := page.sent(_path(job_id, page), _sent(version, number + 1, who))).status_code == 409:
                refused += 1
                version, number = int(VERSION.findall(answer.text)[0]), int(THEIRS.findall(answer.text)[0])
            if answer.status_code != 200:
                raise RuntimeError(f"a save was answered with {answer.status_code}")
            version, number = version + 1, number + 1
    return refused


def _path(job_id: UUID, page: Page) -> str:
    return f"/jobs/{job_id}/client/client/{page.client_id}"


def _sent(version: int, number: int, who: int) -> dict[str, str]:
    """The number with who wrote it: two who write the very same do not lose anything, and are not told."""
    return {"version": str(version), "phone": f"{number} of {who}"}


def measure(few: bool) -> tuple[Figure, ...]:
    """How many acknowledged additions are missing in the end."""
    edits = FEW if few else EDITS
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        job_id = prepared(data)
        with serving(data) as server, ThreadPoolExecutor(CLIENTS) as people:
            asked = [people.submit(count_up, server.address, job_id, edits, who) for who in range(CLIENTS)]
            refused = sum(one.result() for one in asked)
        office = opened(data)
        number = int(open_job(office, job_id).job.client.phone.split()[0])
        office.database.close()
    note = f"{CLIENTS} clients × {edits} edits of one field; {refused} were behind and were told"
    return (Figure(what="lost updates", value=CLIENTS * edits - number, limit=0, note=note),)
