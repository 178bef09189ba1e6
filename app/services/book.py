"""What belongs to the firm and not to a job: settings, price book, library, laid over the shipped ones by key."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from app.db.repositories import things
from app.domain.change import Edit, Fields
from app.domain.codec import to_plain
from app.domain.errors import NotFound, Stale
from app.services import changes, jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import BASIS_FIELDS, Office


@dataclass(frozen=True, slots=True)
class Own:
    """The versions of the firm's own things, by kind and key; 0 where the shipped one stands."""

    versions: Mapping[tuple[str, str], int]

    def version(self, kind: str, key: object) -> int:
        """The version a form of this thing was read at."""
        return self.versions.get((kind, str(key)), 0)


def own(office: Office, *kinds: str) -> Own:
    """The versions of the firm's own things of some kinds."""
    with office.database.read() as connection:
        known = {kind: things.versions(connection, office.firm_id, kind) for kind in kinds}
    return Own({(kind, key): version for kind, held in known.items() for key, version in held.items()})


def edit_of(office: Office, kind: str, key: str, version: int, fields: Fields, *, new: Any = None) -> Edit:
    """The edit that sets fields of a thing of the firm; the shipped one (or `new`) is copied where it has none yet.

    Raises: NotFound for a key that neither the firm nor the library has; Stale where the firm made its own meanwhile.
    """
    if kind == "firm" or version:
        return changed(kind, key, version, fields)
    _refuse_unseen(office, kind, key, to_plain(fields))
    value = new or getattr(office.shipped, BASIS_FIELDS[kind]).get(key)
    if value is None:
        raise NotFound("There is no such thing in the book (any more).")
    after = {**changes.fields_of(value, kind), **to_plain(fields)}
    return Edit(kind=kind, thing_id=key, version=0, before=None, after=after)


def _refuse_unseen(office: Office, kind: str, key: str, fields: Fields) -> None:
    """A form read while the shipped one stood never overwrites what the firm made since."""
    with office.database.read() as connection:
        row = things.read_thing(connection, office.firm_id, kind, key)
    if row is None:
        return
    raise Stale(
        "Somebody changed this since you opened it. Both values are shown; choose one.",
        theirs={name: row.fields[name] for name in fields},
        yours=dict(fields),
    )


def set_fields(office: Office, kind: str, key: str, version: int, fields: Fields, order: Order) -> Applied:
    """Set fields of one thing of the firm, as it was read at `version`. Raises: NotFound, Stale, BadValue."""
    return jobs.save(office, None, (edit_of(office, kind, key, version, fields),), order)


def make(office: Office, kind: str, key: str, value: Any, order: Order) -> Applied:
    """Put a whole value into the firm's book under a key, over what stands there."""
    version = own(office, kind).version(kind, key)
    fields = changes.fields_of(value, kind)
    edit = Edit(kind=kind, thing_id=key, version=version, before={} if version else None, after=fields)
    return jobs.save(office, None, (edit,), order)


def give_up(office: Office, kind: str, key: str, order: Order) -> Applied:
    """Take the firm's own thing out: the shipped one of the key stands again, if there is one. Raises: NotFound."""
    version = own(office, kind).version(kind, key)
    if not version:
        raise NotFound("The shipped one stands already; there is nothing of your own to take back.")
    edit = Edit(kind=kind, thing_id=key, version=version, before={}, after=None)
    return jobs.save(office, None, (edit,), replace(order, what=order.what or "Back to the shipped one"))
