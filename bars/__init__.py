"""Bars: what must hold when things go wrong, each as a figure and its limit. `python -m bars [numbers] [--few]`.

A bar is a module `bar_NN_what.py` with `measure(few)`: its figures, at full counts or, with `few`, at counts that fit
beside the tests.
"""

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


Measure = Callable[[bool], tuple[Figure, ...]]
