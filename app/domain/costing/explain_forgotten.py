"""Where the price of what answers a reminder comes from: the lines that price it."""

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate
from app.domain.costing.forgotten import pricing
from app.domain.takeoff.trace import Trace


def explain_reminder(basis: Basis, worked: Estimate, key: str) -> Trace | None:
    """What the lines that answer a reminder sell for, line by line; None where none does."""
    reminder = basis.reminders.get(key)
    places = pricing(reminder.priced_by, worked.requirements) if reminder else ()
    if reminder is None or not places:
        return None
    steps = tuple(
        Trace(
            label=worked.lines[at].title,
            expression="",
            filled="",
            result=worked.selling[at] / 100,
            unit=basis.firm.currency,
        )
        for at in places
    )
    return Trace(
        label=reminder.title,
        expression="sum of what its lines sell for",
        filled=f"{len(steps)} lines, each with its share of overhead, contingency, profit and tax",
        result=sum(worked.selling[at] for at in places) / 100,
        unit=basis.firm.currency,
        source=reminder.source,
        steps=steps,
    )
