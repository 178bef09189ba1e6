"""Calls after hand-over over many jobs: of which recipe, by which crew, sub, batch, of which cause, at what cost."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from app.domain.job import WarrantyCall
from app.domain.money import cost
from app.domain.takeoff.trace import Trace

NOT_SAID = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCall:
    """A call of one job, with what it cost the firm [cents]."""

    job_id: str
    job: str
    call: WarrantyCall
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CallSum:
    """Calls of one recipe, cause, crew, sub or batch."""

    key: str
    title: str
    calls: tuple[JobCall, ...]

    @property
    def jobs(self) -> int:
        """On how many jobs."""
        return len({one.job_id for one in self.calls})

    @property
    def open(self) -> int:
        """How many are not settled."""
        return sum(1 for one in self.calls if one.call.done_on is None)

    @property
    def cents(self) -> int:
        """What they cost the firm [cents]."""
        return sum(one.cents for one in self.calls)


def cost_of(call: WarrantyCall, per_hour: Decimal | None) -> int:
    """What a call cost the firm [cents]: hours at what one costs, and what was paid; of one not covered nothing."""
    if not call.covered:
        return 0
    return call.cents + (cost(call.hours, per_hour) if per_hour is not None else 0)


def summed(
    calls: Iterable[JobCall], key: Callable[[WarrantyCall], str], title: Callable[[str], str]
) -> tuple[CallSum, ...]:
    """Calls by a key, what cost most first; those of which it is not said stand last."""
    held: dict[str, list[JobCall]] = {}
    for one in calls:
        held.setdefault(key(one.call), []).append(one)
    found = [CallSum(key=name, title=title(name), calls=tuple(rows)) for name, rows in held.items()]
    return tuple(sorted(found, key=lambda one: (one.key == NOT_SAID, -one.cents, -len(one.calls), one.title)))


def explain_calls(one: CallSum, currency: str) -> Trace:
    """What calls cost, one by one."""
    steps = tuple(
        Trace(
            label=f"{row.job}: {row.call.what}",
            expression="hours at what one costs + what was paid" if row.call.covered else "not borne by the firm",
            filled=f"{row.call.hours:g} h, {row.call.cents / 100:,.2f} paid",
            result=row.cents / 100,
            unit=currency,
        )
        for row in one.calls
    )
    return Trace(
        label=f"{one.title}: calls",
        expression="sum of its calls",
        filled="",
        result=one.cents / 100,
        unit=currency,
        steps=steps,
    )
