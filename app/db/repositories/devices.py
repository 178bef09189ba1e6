"""Devices, pairings under way and wrong tries as rows. Nothing here knows a token or a code, only hashes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, bindparam, delete, desc, insert, inspect, select, update

from app.db.tables.devices import DEVICE, PAIRING, PASSCODE, WRONG_TRY
from app.domain.devices import Device, Face
from app.domain.pairing import Pairing, Stands

TRIES_KEPT = timedelta(days=1)
_WITH_TOKEN = select(DEVICE).where(
    DEVICE.c.firm_id == bindparam("in_firm"), DEVICE.c.token_hash == bindparam("in_hash")
)


def with_token(connection: Connection, firm_id: str, token_hash: str) -> Device | None:
    """The device whose token has this hash, also one that was revoked."""
    row = connection.execute(_WITH_TOKEN, {"in_firm": firm_id, "in_hash": token_hash}).one_or_none()
    return None if row is None else _device(row)


def device(connection: Connection, firm_id: str, device_id: UUID) -> Device | None:
    """One device by id."""
    query = select(DEVICE).where(DEVICE.c.firm_id == firm_id, DEVICE.c.id == str(device_id))
    row = connection.execute(query).one_or_none()
    return None if row is None else _device(row)


def devices(connection: Connection, firm_id: str) -> list[Device]:
    """Every device there ever was: those that are in first, the newest first."""
    query = select(DEVICE).where(DEVICE.c.firm_id == firm_id).order_by(DEVICE.c.revoked_at, desc(DEVICE.c.paired_at))
    found = [_device(row) for row in connection.execute(query)]
    return sorted(found, key=lambda one: one.revoked_at is not None)


def shut_out(connection: Connection) -> dict[str, str]:
    """Hashes of the tokens that were revoked, and when; none in data from before there were devices."""
    if not inspect(connection).has_table(DEVICE.name):
        return {}
    query = select(DEVICE.c.token_hash, DEVICE.c.revoked_at).where(DEVICE.c.revoked_at.is_not(None))
    return {row.token_hash: row.revoked_at for row in connection.execute(query)}


def shut_out_again(connection: Connection, revoked: Mapping[str, str]) -> None:
    """Revoke these tokens here, too."""
    if revoked and inspect(connection).has_table(DEVICE.name):
        for token_hash, at in revoked.items():
            still_in = (DEVICE.c.token_hash == token_hash, DEVICE.c.revoked_at.is_(None))
            connection.execute(update(DEVICE).where(*still_in).values(revoked_at=at))


def insert_device(connection: Connection, firm_id: str, one: Device, token_hash: str) -> None:
    """Let a device in."""
    connection.execute(insert(DEVICE).values(firm_id=firm_id, token_hash=token_hash, **_columns(one)))


def update_device(connection: Connection, one: Device) -> None:
    """Write a device as it is now; its token stays."""
    connection.execute(update(DEVICE).where(DEVICE.c.id == str(one.id)).values(**_columns(one)))


def pairing(connection: Connection, firm_id: str, pairing_id: UUID) -> Pairing | None:
    """One pairing by id."""
    query = select(PAIRING).where(PAIRING.c.firm_id == firm_id, PAIRING.c.id == str(pairing_id))
    row = connection.execute(query).one_or_none()
    return None if row is None else _pairing(row)


def newest_pairing(connection: Connection, firm_id: str) -> Pairing | None:
    """The pairing that was begun last."""
    query = select(PAIRING).where(PAIRING.c.firm_id == firm_id).order_by(desc(PAIRING.c.began_at)).limit(1)
    row = connection.execute(query).one_or_none()
    return None if row is None else _pairing(row)


def asked_with(connection: Connection, firm_id: str, token_hash: str) -> Pairing | None:
    """The pairing in which a device got the token with this hash."""
    query = select(PAIRING).where(PAIRING.c.firm_id == firm_id, PAIRING.c.token_hash == token_hash)
    row = connection.execute(query).one_or_none()
    return None if row is None else _pairing(row)


def token_hash_of(connection: Connection, one: Pairing) -> str:
    """The hash of the token that the asking device was given."""
    return connection.execute(select(PAIRING.c.token_hash).where(PAIRING.c.id == str(one.id))).scalar_one() or ""


def insert_pairing(connection: Connection, firm_id: str, one: Pairing) -> None:
    """Begin a pairing; one that still waited is replaced by it."""
    waits = (PAIRING.c.firm_id == firm_id, PAIRING.c.stands.in_([Stands.OPEN.value, Stands.ASKED.value]))
    connection.execute(update(PAIRING).where(*waits).values(stands=Stands.REPLACED.value))
    connection.execute(insert(PAIRING).values(firm_id=firm_id, id=str(one.id), **_pairing_columns(one)))


def update_pairing(connection: Connection, one: Pairing, **columns: Any) -> None:
    """Write a pairing as it is now."""
    changed = {**_pairing_columns(one), **columns}
    connection.execute(update(PAIRING).where(PAIRING.c.id == str(one.id)).values(**changed))


def note_wrong(connection: Connection, firm_id: str, secret: str, address: str, at: datetime) -> int:
    """Note a wrong try and return its number; those of days ago are forgotten."""
    old = (WRONG_TRY.c.firm_id == firm_id, WRONG_TRY.c.at < (at - TRIES_KEPT).isoformat())
    connection.execute(delete(WRONG_TRY).where(*old))
    values = {"firm_id": firm_id, "secret": secret, "address": address, "at": at.isoformat()}
    made = connection.execute(insert(WRONG_TRY).values(**values)).inserted_primary_key
    return int(made[0]) if made else 0


def wrong_since(connection: Connection, firm_id: str, secret: str, since: datetime) -> list[tuple[str, datetime]]:
    """Wrong tries since a time: from where, and when."""
    recent = (WRONG_TRY.c.firm_id == firm_id, WRONG_TRY.c.secret == secret, WRONG_TRY.c.at >= since.isoformat())
    query = select(WRONG_TRY.c.address, WRONG_TRY.c.at).where(*recent).order_by(WRONG_TRY.c.at)
    return [(row.address, datetime.fromisoformat(row.at)) for row in connection.execute(query)]


def forget_wrong(connection: Connection, number: int) -> None:
    """Forget a try that was noted as wrong and proved right."""
    connection.execute(delete(WRONG_TRY).where(WRONG_TRY.c.id == number))


@dataclass(frozen=True, slots=True)
class KeptPasscode:
    """What is kept of a passcode: salt and slow hash, in hex."""

    salt: str
    hash: str


def passcode(connection: Connection, firm_id: str) -> KeptPasscode | None:
    """The firm's passcode as it is kept."""
    query = select(PASSCODE.c.salt, PASSCODE.c.hash).where(PASSCODE.c.firm_id == firm_id)
    row = connection.execute(query).one_or_none()
    return None if row is None else KeptPasscode(row.salt, row.hash)


def set_passcode(connection: Connection, firm_id: str, salt: str, hashed: str, at: datetime) -> None:
    """Keep a passcode in place of the one before."""
    drop_passcode(connection, firm_id)
    values = {"firm_id": firm_id, "salt": salt, "hash": hashed, "set_at": at.isoformat()}
    connection.execute(insert(PASSCODE).values(**values))


def drop_passcode(connection: Connection, firm_id: str) -> None:
    """Keep none."""
    connection.execute(delete(PASSCODE).where(PASSCODE.c.firm_id == firm_id))


def _text(value: Any) -> str | None:
    return None if value is None else value.isoformat() if isinstance(value, datetime) else str(value)


def _when(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _columns(one: Device) -> dict[str, Any]:
    names = ("id", "name", "face", "job_id", "paired_at", "last_seen", "turned", "turned_job", "revoked_at")
    return {name: _text(getattr(one, name)) for name in names}


def _device(row: Any) -> Device:
    return Device(
        id=UUID(row.id),
        name=row.name,
        face=Face(row.face),
        job_id=UUID(row.job_id) if row.job_id else None,
        paired_at=datetime.fromisoformat(row.paired_at),
        last_seen=datetime.fromisoformat(row.last_seen),
        turned=Face(row.turned) if row.turned else None,
        turned_job=UUID(row.turned_job) if row.turned_job else None,
        revoked_at=_when(row.revoked_at),
    )


def _pairing_columns(one: Pairing) -> dict[str, Any]:
    names = ("face", "job_id", "stands", "began_at", "asked_at", "name", "address")
    return {**{name: _text(getattr(one, name)) for name in names}, "wrong": one.wrong}


def _pairing(row: Any) -> Pairing:
    return Pairing(
        id=UUID(row.id),
        face=Face(row.face),
        job_id=UUID(row.job_id) if row.job_id else None,
        stands=Stands(row.stands),
        began_at=datetime.fromisoformat(row.began_at),
        asked_at=_when(row.asked_at),
        name=row.name,
        address=row.address,
        wrong=row.wrong,
    )
