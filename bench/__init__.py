"""Benches: each runs its bare floor beside it and gates on the ratio. `python -m bench` runs them all."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One figure of a bench: `value` in `unit`, and the most it may be; None shows it without holding it."""

    name: str
    value: float
    unit: str
    most: float | None = None
    note: str = ""

    @property
    def held(self) -> bool:
        """Whether it stays within its limit."""
        return self.most is None or self.value <= self.most
