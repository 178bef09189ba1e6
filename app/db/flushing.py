"""What was committed is brought to disk beside the work: it is waited for before an answer goes out, not at the commit.

A commit with full synchronization stands still until the disk has it, and every other request with it. While the pages
are served, commits only write; one thread, which does nothing else and touches nothing of ours, flushes the
write-ahead log as such a commit would. One flush stands for every commit before it began.
"""

import os
import sys
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from app.db.disk import DiskTrouble

# seconds until the thread gets its turn: what is on disk is known before the answer that waits for it is ready
TURN = 0.0005
flush = getattr(os, "fdatasync", os.fsync)  # what SQLite itself calls, where there is one


class NotOnDisk(DiskTrouble):
    """The disk did not take what was committed."""


class Flusher:
    """Flushes the write-ahead log of one database, in the order asked; `flushes` counts them."""

    def __init__(self, database: Path) -> None:
        self.log = database.with_name(database.name + "-wal")
        self.flushes = 0
        self._beside = ThreadPoolExecutor(1, thread_name_prefix="flush")
        self._newest: Future[None] | None = None
        self._failed: OSError | None = None
        self._turn = sys.getswitchinterval()
        sys.setswitchinterval(TURN)

    def begin(self) -> None:
        """Bring what is committed by now to disk; one that waits its turn will do that, too."""
        waits_its_turn = self._newest is not None and not self._newest.running() and not self._newest.done()
        if not waits_its_turn:
            self._newest = self._beside.submit(self._flush)

    @property
    def pending(self) -> "Future[None] | None":
        """What stands for all that is committed by now; None where all of it is on disk."""
        newest = self._newest
        return None if newest is None or (newest.done() and newest.exception() is None) else newest

    def refuse_if_failed(self) -> None:
        """After a flush that failed nobody can tell what the disk holds: nothing more is taken.

        Raises: NotOnDisk.
        """
        if self._failed is not None:
            raise NotOnDisk(_sentence(self._failed))

    def close(self) -> None:
        """Finish what was begun."""
        self._beside.shutdown()
        sys.setswitchinterval(self._turn)

    def _flush(self) -> None:
        self.flushes += 1
        try:
            self.refuse_if_failed()
            try:
                handle = os.open(self.log, os.O_RDWR)
            except FileNotFoundError:
                return  # SQLite takes the log away only once all of it is in the database, on disk
            try:
                flush(handle)
            finally:
                os.close(handle)
        except OSError as wrong:
            self._failed = wrong
            raise NotOnDisk(_sentence(wrong)) from wrong


def _sentence(wrong: OSError) -> str:
    return (
        f"The disk did not take what was last saved ({wrong.strerror or wrong}). Nothing more is taken: look at "
        "the disk, then start Outlay again and see what it kept."
    )
