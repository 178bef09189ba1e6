"""Bars: what must hold when things go wrong, each as a figure and its limit. `python -m bars [numbers] [--few]`.

A bar is a module `bar_NN_what.py` with `measure(few)`: its figures, at full counts or, with `few`, at counts that fit
beside the tests.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of a bar and the limit it keeps: the most it may be, or with `at_least` the least."""

    what: str
    value: float
    limit: float
    unit: str = ""
    at_least: bool = False
    note: str = ""  # how many, of what

    @property
    def held(self) -> bool:
        """Whether it keeps its limit."""
        return self.value >= self.limit if self.at_least else self.value <= self.limit


def going_on(done: int, of: int, what: str) -> None:
    """Say on the error stream how far a long run is, some twenty times in all: the figures stand on the other."""
    step = max(1, of // 20)
    if of > step and (done % step == 0 or done == of):
        print(f"    {done} of {of} {what}", file=sys.stderr, flush=True)


Measure = Callable[[bool], tuple[Figure, ...]]
