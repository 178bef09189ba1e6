"""An acknowledged save is on the disk: how often the serving process had the system flush while a save waited.

The kernel is asked, not the database: `strace` writes down each fsync and fdatasync of the server with its time, the
client when it sent a save and when it was told it is saved. Without WAL's full synchronous commits this falls to a
sync every few hundred saves, while a kill alone would not show it: the system's own buffers outlive the process.
"""

import re
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bars import Figure
from bars.saving import Page, prepared
from tests.served import serving

SAVES, FEW = 100, 15
SYNCED = re.compile(r"^(\d+) +(\d+\.\d+) (?:fsync|fdatasync)\(\d+\) += 0", re.MULTILINE)


@contextmanager
def watched(pid: int, log: Path) -> Iterator[None]:
    """Write down what a process flushes to the disk, with the time, until the block ends."""
    if shutil.which("strace") is None:
        raise RuntimeError("strace is missing, by which syncs are counted. To install: sudo apt-get install strace")
    words = ["strace", "-f", "-ttt", "-e", "trace=fsync,fdatasync", "-o", str(log), "-p", str(pid)]
    with subprocess.Popen(words, stderr=subprocess.PIPE, text=True) as tracer:
        said = tracer.stderr.readline() if tracer.stderr else ""
        if "attached" not in said:
            raise RuntimeError(f"strace cannot watch the server here: {said.strip()}")
        yield
        time.sleep(0.2)
        tracer.terminate()


def measure(few: bool) -> tuple[Figure, ...]:
    """The least syncs that any acknowledged save saw."""
    saves = FEW if few else SAVES
    with tempfile.TemporaryDirectory() as folder:
        data, log = Path(folder) / "data", Path(folder) / "syncs"
        job_id = prepared(data)
        with serving(data) as server, Page.of(server.address, job_id) as page:
            page.save(job_id, 0)  # the first may also make the log and its folder
            times: list[tuple[float, float]] = []
            with watched(server.process.pid, log):
                for number in range(1, saves + 1):
                    sent = time.time()
                    if not page.save(job_id, number):
                        raise RuntimeError("a save was refused")
                    times.append((sent, time.time()))
        synced = [float(at) for _, at in SYNCED.findall(log.read_text())]
    least = min(sum(sent <= at <= told for at in synced) for sent, told in times)
    note = f"{len(synced)} syncs of {saves} acknowledged saves, by strace"
    return (
        Figure(what="least syncs that an answered save waited for", value=least, limit=1, at_least=True, note=note),
    )
