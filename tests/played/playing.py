"""The play, so many times of so many steps; with a fault in the program, until it is found."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.played.faults import FAULTS
from tests.played.firm import ids_drawn, played_fast
from tests.played.machine import Play

STEPS = 25


class Found(KeyboardInterrupt):
    """Something did not hold, and that is all one wants to know: nothing is played again to say it better."""


class UntilFound(Play):
    """The play that ends at the first thing that does not hold."""

    def teardown(self) -> None:
        wrong = sys.exc_info()[1]
        try:
            super().teardown()
        except Exception as worse:  # noqa: BLE001 - however it shows
            wrong = wrong if isinstance(wrong, Exception) else worse
        if isinstance(wrong, Exception):
            raise Found(str(wrong).partition("\n")[0] or type(wrong).__name__) from wrong


def play(times: int, begin: int, steps: int = STEPS, kind: type[Play] = Play) -> None:
    """Play so many times; `begin` draws what is played. Raises what does not hold."""
    chosen = settings(
        max_examples=times,
        stateful_step_count=steps,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
        print_blob=False,
    )
    with played_fast(), ids_drawn(begin):
        run_state_machine_as_test(seed(begin)(type(kind.__name__, (kind,), {})), settings=chosen)


@contextmanager
def faulty(fault: str) -> Iterator[None]:
    """The program has a fault until the block ends."""
    with pytest.MonkeyPatch.context() as patch:
        FAULTS[fault](patch)
        yield


def finds(fault: str, times: int, begin: int, steps: int = STEPS) -> str:
    """What the play says of a fault; empty where it does not notice it."""
    try:
        with faulty(fault):
            play(times, begin, steps, UntilFound)
    except Found as found:
        return str(found)
    return ""
