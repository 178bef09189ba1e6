"""What can wait is done when no request has come for a moment: then nobody waits for it."""

import asyncio
import gc
from collections.abc import Callable, Sequence

MOMENT = 0.6  # seconds without a request
OFTEN = 40  # idle moments until everything is looked through for what nobody holds any more
# an edit leaves nothing that only refers to itself, so nothing need be looked through while somebody waits: this is for
# hours without an idle moment. It counts what was made less what was let go of, so a few thousand would be every other
# edit, and all that edits made and keep looked through each time: ten milliseconds of it
THRESHOLDS = (200_000, 10, 10)


class Idle:
    """Knows how many requests are being answered, and runs `works` once there has been none for a moment."""

    def __init__(self, works: Sequence[Callable[[], object]], *, moment: float = MOMENT) -> None:
        self._works, self._moment = works, moment
        self._answering = 0
        self._timer: asyncio.TimerHandle | None = None

    def begins(self) -> None:
        """A request has come."""
        self._answering += 1
        self.stop()

    def ends(self) -> None:
        """It is answered."""
        self._answering -= 1
        if not self._answering:
            self._timer = asyncio.get_running_loop().call_later(self._moment, self._run)

    def stop(self) -> None:
        """Nothing is run before the next request ends."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _run(self) -> None:
        self._timer = None
        for work in self._works:
            work()


class Collecting:
    """Frees what only refers to itself: what is young at every idle moment, everything now and then."""

    def __init__(self) -> None:
        self._moments = 0

    def begin(self) -> None:
        """What is loaded at start is never looked through again; what comes, at idle moments."""
        gc.collect()
        gc.freeze()
        gc.set_threshold(*THRESHOLDS)

    def __call__(self) -> None:
        """An idle moment."""
        self._moments += 1
        gc.collect(2 if self._moments % OFTEN == 0 else 1)
