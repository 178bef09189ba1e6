"""Devices that were let in: which one asks, what it shows, revoked at once. Tokens are kept only as hashes."""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from hashlib import sha256
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from app.db.disk import DiskTrouble
from app.db.repositories import devices as rows
from app.db.repositories import record
from app.domain.change import Change
from app.domain.devices import Device, Face, Showing, has_lapsed, own_showing, shown_by, worth_noting
from app.domain.errors import BadValue, NotFound, Refused
from app.services import jobs
from app.services.jobs import Order
from app.services.office import Office

LONGEST_NAME = 40


def hashed(token: str) -> str:
    """What is kept of a token: 256 random bits need no salt and no slow hash."""
    return sha256(token.encode()).hexdigest()


def device_of(office: Office, token: str) -> Device | None:
    """The device that has this token and is in; None for no token, an unknown one, one revoked or unseen for long."""
    found = device_with(office, token)
    is_in = (
        found is not None
        and found.revoked_at is None
        and not has_lapsed(found, office.clock(), office.firm().unseen_days)
    )
    return found if is_in else None


def device_with(office: Office, token: str) -> Device | None:
    """The device that has this token, also when it was revoked."""
    if not token:
        return None
    with office.database.read() as connection:
        return rows.with_token(connection, office.firm_id, hashed(token))


def note_seen(office: Office, device: Device) -> Device:
    """The device as seen now; written down once a minute."""
    now = office.clock()
    if not worth_noting(device, now):
        return device
    seen = replace(device, last_seen=now)
    if shown_by(seen, now) != shown_by(device, now):  # it lay unused for long: being seen does not bring ours back
        seen = replace(seen, turned=None, turned_job=None)
    with suppress(DiskTrouble), office.database.write() as connection:  # who only reads is not turned away by it
        rows.update_device(connection, seen)
    return seen


def every_device(office: Office) -> list[Device]:
    """All devices, those that are in first."""
    with office.database.read() as connection:
        return rows.devices(connection, office.firm_id)


def revoke(office: Office, device_id: UUID, order: Order) -> None:
    """Shut a device out, from its next request on; not undoable, and put on record. Raises: NotFound."""
    with office.database.write() as connection:
        one = _known(office, connection, device_id)
        if one.revoked_at is None:
            rows.update_device(connection, replace(one, revoked_at=office.clock()))
            on_record(office, connection, "revoke", order, f"Device revoked: {one.name}", one)


def leave(office: Office, device: Device, order: Order) -> None:
    """A device ends its own pairing: its token is none from here on; put on record. Raises: Refused, handed over."""
    if device.turned is not None:
        raise Refused("This device shows other pages than its own. It goes back to them first.")
    with office.database.write() as connection:
        if _known(office, connection, device.id).revoked_at is None:
            rows.update_device(connection, replace(device, revoked_at=office.clock()))
            on_record(office, connection, "revoke", order, f"Device left: {device.name}", device)


def rename(office: Office, device_id: UUID, name: str, order: Order) -> None:
    """Call a device otherwise; what it did before stays under its earlier name. Raises: NotFound, BadValue."""
    with office.database.write() as connection:
        one = _known(office, connection, device_id)
        others = [each.name for each in rows.devices(connection, office.firm_id) if each.id != device_id]
        named = replace(one, name=own_name(office, name, others))
        if named.name != one.name:
            rows.update_device(connection, named)
            on_record(office, connection, "device", order, f"Device {one.name} is called {named.name}", named)


def bind(office: Office, device_id: UUID, job_id: UUID, order: Order) -> None:
    """Bind a client's device to another job, whose pages it shows from now on. Raises: NotFound, BadValue."""
    title = jobs.open_job(office, job_id).job.head.title
    with office.database.write() as connection:
        one = _known(office, connection, device_id)
        if one.face is not Face.CLIENT:
            raise BadValue(f"{one.name} was not paired as a client's device; it is bound to no job.")
        bound = replace(one, job_id=job_id, turned=None, turned_job=None)
        rows.update_device(connection, bound)
        on_record(office, connection, "device", order, f"Device {one.name} shows {title}", bound)


def turn(office: Office, device: Device, showing: Showing) -> None:
    """Turn a device to a face until it is turned again; to what it was paired as, by saying that."""
    own = showing == own_showing(device)
    turned = replace(device, turned=None if own else showing.face, turned_job=None if own else showing.job_id)
    with office.database.write() as connection:
        rows.update_device(connection, turned)


def own_name(office: Office, typed: str, others: Iterable[str]) -> str:
    """A device's name, unlike the others' and the owner's: the record names who made a change by it.

    Raises: BadValue for none.
    """
    name = " ".join(typed.split())[:LONGEST_NAME].strip()
    if not name:
        raise BadValue("Give the device a name, such as “Maren's tablet”: the record names it.", field="name")
    taken = {one.casefold() for one in (*others, office.firm().owner, "the owner")}
    number, free = 1, name
    while free.casefold() in taken:
        number += 1
        free = f"{name} {number}"
    return free


def on_record(office: Office, connection: Connection, kind: str, order: Order, what: str, device: Device) -> None:
    """Add what was done about a device to the record; it is no change that could be undone."""
    entry = Change(id=order.change_id, job_id=None, edits=(), who=office.who(), when=office.clock(), what=what)
    body: dict[str, Any] = {"device": str(device.id), "face": device.face.value}
    record.append(connection, firm_id=office.firm_id, kind=kind, change=entry, answer=body)


def _known(office: Office, connection: Connection, device_id: UUID) -> Device:
    one = rows.device(connection, office.firm_id, device_id)
    if one is None:
        raise NotFound("There is no such device.")
    return one
