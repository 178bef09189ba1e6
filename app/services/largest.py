"""What makes most of a job's price, or of its early range: with the prices the book had of it before."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from app.db.repositories import record
from app.domain.basis import Basis
from app.domain.costing.largest import LargePart, explain_largest, explain_unit_price, far_off, largest_parts
from app.domain.costing.lines import Line
from app.domain.errors import NotFound
from app.domain.takeoff.trace import Trace
from app.services.first_call import early_lines
from app.services.office import Office
from app.services.sheets import Sheet

LOOKED_BACK = 12  # entries of a price's history


def largest_of(office: Office, view: Sheet, *, early: bool = False) -> tuple[LargePart, ...]:
    """The lines that make most of a job's price, or of its early range, the dearest first."""
    found = largest_parts(_lines(office, view, early=early), view.basis, {})
    keys = [one.key for one in found if one.unit_price is not None]
    earlier = _earlier(office, view.basis, keys)
    return tuple(
        replace(one, against=far_off(one.key, view.basis, earlier[one.key])) if one.key in earlier else one
        for one in found
    )


def explain_large(office: Office, view: Sheet, figure: str) -> Trace:
    """One of these lines: `early:KIND:KEY` or `job:KIND:KEY`. Raises: NotFound."""
    of, _, rest = figure.partition(":")
    kind, _, key = rest.partition(":")
    if kind == "price":
        told = explain_unit_price(key, view.basis, _earlier(office, view.basis, [key]).get(key))
    else:
        told = explain_largest(_lines(office, view, early=of == "early"), rest, view.basis.firm.currency)
    if told is None:
        raise NotFound("This line is not part of the price any more. Open the sheet again.")
    return told


def _lines(office: Office, view: Sheet, *, early: bool) -> Sequence[Line]:
    return early_lines(office, view) if early else view.estimate.lines


def _earlier(office: Office, basis: Basis, keys: Sequence[str]) -> dict[str, Decimal]:
    """What the book said of these materials before their price of today, where it said another."""
    with office.database.read() as connection:
        told = {key: record.of_thing(connection, office.firm_id, "price", key, limit=LOOKED_BACK) for key in keys}
    found = dict[str, Decimal]()
    for key, entries in told.items():
        now = basis.prices[key].unit_price if key in basis.prices else None
        was = (edit.before.get("unit_price") for _, edit in entries if edit.before)
        before = next((Decimal(str(one)) for one in was if one is not None and Decimal(str(one)) != now), None)
        if before is not None:
            found[key] = before
    return found
