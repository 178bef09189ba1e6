"""What was left of each material once its work was done, as somebody counted it: what waste is learned from."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID, uuid5

from app.domain.errors import BadValue
from app.domain.job import CountedMaterial
from app.domain.ordering.standing import HAIR, came_whole
from app.domain.orders import OrderKind
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.supply import Supply, supply
from app.services.supply_events import refuse_to_come

BY_TIME = ("day", "hour")  # what is bought so has nothing that could be left


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """A material of the job [bought units]: what the plan wants with losses, what came whole, and its newest count.

    `zones` are the letters of those that take it; empty where it is for the whole job.
    """

    material: str
    title: str
    unit: str
    wanted: float
    came: float
    newest: CountedMaterial | None = None
    zones: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What was typed of one material; nothing typed is None."""

    beside: float | None
    returned: float | None
    left_over: float | None

    @property
    def typed(self) -> bool:
        """Whether anything was typed: 0 is an answer."""
        return not self.beside is self.returned is self.left_over is None


def count_rows(office: Office, view: Sheet) -> tuple[CountRow, ...]:
    """The materials that are ordered or needed, by title."""
    return rows_of(supply(office, view))


def rows_of(found: Supply) -> tuple[CountRow, ...]:
    """The same of orders that were read already."""
    came, _ = came_whole(found.orders)
    titles = {line.sent.material: (line.sent.title, line.sent.unit) for one in found.orders for line in one.lines}
    wanted: dict[str, float] = {}
    zones: dict[str, dict[str, None]] = defaultdict(dict)
    for one in found.lists:
        for row in one.lines if one.of.kind is OrderKind.MATERIALS else ():
            if row.line.unit in BY_TIME:
                continue
            titles[row.line.material] = (row.line.title, row.line.unit)
            wanted[row.line.material] = wanted.get(row.line.material, 0.0) + row.line.wanted
            zones[row.line.material] |= dict.fromkeys(row.line.zones)
    newest = newest_counts(found.job.counted_materials)
    rows = (
        CountRow(
            material=key,
            title=title,
            unit=unit,
            wanted=wanted.get(key, 0.0),
            came=came.get(key, 0.0),
            newest=newest.get(key),
            zones=tuple(sorted(zones[key])),
        )
        for key, (title, unit) in titles.items()
        if key in wanted or came.get(key, 0.0) > HAIR
    )
    return tuple(sorted(rows, key=lambda one: (one.title, one.material)))


def newest_counts(counts: tuple[CountedMaterial, ...]) -> Mapping[str, CountedMaterial]:
    """The newest count of each material."""
    in_order = sorted(counts, key=lambda one: (one.day, str(one.said_at or ""), str(one.id)))
    return {one.material: one for one in in_order}


def count(
    office: Office, view: Sheet, day: date, typed: Mapping[str, Counted], words: str, order: Order
) -> Applied | None:
    """Write down what was counted, material by material, in one change. Raises: BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    refuse_to_come(view, day)
    rows = {one.material: one for one in count_rows(office, view)}
    told = {key: one for key, one in typed.items() if one.typed and key in rows}
    if not told:
        raise BadValue("Nothing is counted. Type what is left, line by line; 0 where nothing is.", field="day")
    for key, one in told.items():
        _refuse(rows[key], one)
    edits = tuple(
        made(
            "counted_material",
            CountedMaterial(
                id=uuid5(order.change_id, f"counted:{key}"),
                material=key,
                day=day,
                beside=one.beside or 0.0,
                returned=one.returned or 0.0,
                left_over=one.left_over or 0.0,
                words=words,
                said_by=office.who(),
                said_at=office.clock(),
            ),
        )
        for key, one in told.items()
    )
    return jobs.save(office, view.job.head.id, edits, replace(order, what="Counted what is left"))


def _refuse(row: CountRow, one: Counted) -> None:
    got, gone = row.came + (one.beside or 0.0), (one.returned or 0.0) + (one.left_over or 0.0)
    if gone > got + HAIR:
        raise BadValue(
            f"{row.title}: {gone:g} went back or is left, and {got:g} came. Type what was bought beside too.",
            field=f"left_over-{row.material}",
        )


def take_out(office: Office, view: Sheet, material: str, order: Order) -> Applied | None:
    """What was counted of a material is taken out, all of it; undo brings it back. Raises: BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    mine: list[UUID] = [one.id for one in view.job.counted_materials if one.material == material]
    if not mine:
        raise BadValue("Nothing is counted of this material (any more).")
    edits = tuple(edit for one in mine for edit in jobs.removal(view.opened, "counted_material", one))
    return jobs.save(office, view.job.head.id, edits, replace(order, what="Count taken out"))
