"""The payments after a change: those reached stay as they were, the difference goes where the owner says.

Either with the payments that are not reached, by how large each is, or as a payment of its own with the next draw.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace

from app.domain.costing.payments import Due
from app.domain.money import share

BACK = "Paid back to the client"


def payments_after(due: Sequence[Due], by: int, reached: Collection[str], own_event: str = "") -> tuple[Due, ...]:
    """The payments [cents] once `by` is added to (or below 0: taken off) the contract sum. They add up to it.

    `reached` are places in the table from 1, as text: these stay. With `own_event`, or where all are reached, the
    difference is a payment of its own. What is credited comes off no payment beyond what is left to pay of it; what
    then remains is paid back.

    >>> table = (Due(event="Signed", phase="", cents=300), Due(event="Done", phase="", cents=700))
    >>> [one.cents for one in payments_after(table, 150, {"1"})]
    [300, 850]
    """
    open_at = [at for at, _ in enumerate(due) if str(at + 1) not in reached]
    if not by:
        return tuple(due)
    if own_event or not open_at:
        return (*due, Due(event=own_event or _event_of(by), phase="", cents=by))
    left = [max(0, due[at].left) for at in open_at]
    if by > 0:
        parts, back = _in_whole_money(by, left), 0
    else:
        taken = min(-by, sum(left))
        parts, back = tuple(-part for part in share(taken, left)), by + taken
    added = dict(zip(open_at, parts, strict=True))
    rows = [replace(one, cents=one.cents + added.get(at, 0)) for at, one in enumerate(due)]
    return (*rows, Due(event=BACK, phase="", cents=back)) if back else tuple(rows)


def _event_of(by: int) -> str:
    return "With the next payment" if by > 0 else BACK


def _in_whole_money(total: int, weights: Sequence[int]) -> tuple[int, ...]:
    """Shared by weight in whole money; odd cents go to the last."""
    units, odd = divmod(total, 100)
    parts = [unit * 100 for unit in share(units, weights)]
    parts[-1] += odd
    return tuple(parts)
