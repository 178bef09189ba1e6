"""Letting a device in: a code made here, typed there, two words compared, allowed here. None of it is undoable."""

import hmac
import logging
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from ipaddress import ip_address, ip_network
from uuid import UUID, uuid4

from sqlalchemy import Connection

from app.db.repositories import devices as rows
from app.db.repositories import record
from app.domain import pairing as rules
from app.domain.devices import Device, Face
from app.domain.errors import BadValue, Refused
from app.domain.pairing import Limit, Pairing, Stands, TooManyTries
from app.interchange.words_to_compare import words_to_compare
from app.services import jobs
from app.services.devices import hashed, on_record, own_name
from app.services.jobs import Order
from app.services.office import Office

log = logging.getLogger("outlay")
CODE = "code"
OVER = "This pairing is over. Begin another one."


@dataclass(frozen=True, slots=True)
class Asked:
    """A device asks to be let in: the pairing it asked in, and the token that is its own once it is allowed."""

    pairing: Pairing
    token: str


def begin(office: Office, face: Face, job_id: UUID | None) -> Pairing:
    """Begin to let one device in; another one that still waited is given up.

    Raises: BadValue where a client's device is bound to no job; NotFound for a job that is not there.
    """
    if face is Face.CLIENT and job_id is None:
        raise BadValue("Choose the job whose proposal the client's device shows.", field="job_id")
    if job_id is not None:
        jobs.open_job(office, job_id)
    bound = job_id if face is Face.CLIENT else None
    one = Pairing(id=uuid4(), face=face, job_id=bound, stands=Stands.OPEN, began_at=office.clock())
    with office.database.write() as connection:
        rows.insert_pairing(connection, office.firm_id, one)
    return one


def newest(office: Office) -> Pairing | None:
    """The pairing that was begun last, over or not."""
    with office.database.read() as connection:
        return rows.newest_pairing(connection, office.firm_id)


def code_of(office: Office, one: Pairing) -> str:
    """The code of a pairing: made of its random id and the data folder's secret, and kept nowhere."""
    return rules.code_from(_keyed(office, "pairing code", one))


def words_of(office: Office, one: Pairing) -> tuple[str, str]:
    """The two words that both screens show once a device has asked."""
    return rules.two_words(_keyed(office, "pairing words", one), words_to_compare(office.settings.library))


def ask(office: Office, typed: str, name: str, address: str, way: str = "") -> Asked:
    """A device that has typed the code asks to be let in. A wrong code is noted, and burns the right one at the fifth.

    Its token begins with the way it came (HTTPS, plain HTTP), and is none on another.

    Raises: BadValue beside the code, or for no name; TooManyTries.
    """
    code, now = rules.as_typed(typed), office.clock()
    with office.database.write() as connection:
        mind_limits(office, connection, CODE, address, now)
        one = rows.newest_pairing(connection, office.firm_id)
        waits = one is not None and one.stands is Stands.OPEN and rules.is_live(one, now)
        if one is not None and waits and hmac.compare_digest(code_of(office, one), code):
            asked = replace(
                one, stands=Stands.ASKED, asked_at=now, name=own_name(office, name, ()), address=address[:60]
            )
            token = f"{way}.{secrets.token_urlsafe(32)}"
            rows.update_pairing(connection, asked, token_hash=hashed(token))
            return Asked(asked, token)
        rows.note_wrong(connection, office.firm_id, CODE, place_of(address), now)
        if one is not None and waits:
            burned = one.wrong + 1 >= rules.WRONG_BURN
            stands = Stands.BURNED if burned else Stands.OPEN
            rows.update_pairing(connection, replace(one, wrong=one.wrong + 1, stands=stands))
    log.warning("wrong code of a pairing")
    raise BadValue(
        f"{rules.shown(code)} is not the code on the office's screen, or that one was used or has run out. "
        "Look at it again; if it is gone, have another one made.",
        field="code",
    )


def asked_by(office: Office, token: str) -> Pairing | None:
    """The pairing in which a device was given this token."""
    if not token:
        return None
    with office.database.read() as connection:
        return rows.asked_with(connection, office.firm_id, hashed(token))


def allow(office: Office, pairing_id: UUID, name: str, order: Order) -> None:
    """Let the device in that asked; put on record.

    Raises: Refused when the pairing is over or nobody asked; BadValue for no name.
    """
    with office.database.write() as connection:
        if record.find(connection, str(order.change_id)) is not None:
            return
        one, now = _live(office, connection, pairing_id), office.clock()
        if one.stands is not Stands.ASKED:
            raise Refused("No device has typed the code yet.")
        others = [each.name for each in rows.devices(connection, office.firm_id)]
        device = Device(
            id=one.id,
            name=own_name(office, name or one.name, others),
            face=one.face,
            job_id=one.job_id,
            paired_at=now,
            last_seen=now,
        )
        rows.insert_device(connection, office.firm_id, device, rows.token_hash_of(connection, one))
        rows.update_pairing(connection, replace(one, stands=Stands.ALLOWED))
        on_record(office, connection, "pair", order, f"Device let in: {device.name} ({SHOWN_AS[device.face]})", device)


def refuse(office: Office, pairing_id: UUID) -> None:
    """Do not let the device in, or take the code back. Raises: Refused when the pairing is over."""
    with office.database.write() as connection:
        one = _live(office, connection, pairing_id)
        rows.update_pairing(connection, replace(one, stands=Stands.REFUSED))


SHOWN_AS = {Face.OURS: "ours", Face.FIELD: "field, no money", Face.CLIENT: "client"}


def mind_limits(
    office: Office,
    connection: Connection,
    secret: str,
    address: str,
    now: datetime,
    *,
    own: Limit = rules.PER_ADDRESS,
    overall: Limit | None = rules.OVERALL,
) -> None:
    """Raises: TooManyTries where somebody guessed too often, from this address or from all (None: not counted)."""
    wrong = rows.wrong_since(connection, office.firm_id, secret, now - rules.OVERALL.within)
    from_there = [at for place, at in wrong if place == place_of(address)]
    checks: list[tuple[Sequence[datetime], Limit]] = [(from_there, own)]
    if overall is not None:
        checks.append(([at for _, at in wrong], overall))
    waits = [until for tries, limit in checks if (until := rules.wait_until(tries, limit, now)) is not None]
    if waits:
        minutes = max(1, -(-int((max(waits) - now).total_seconds()) // 60))
        raise TooManyTries(f"Too many wrong tries. Wait {minutes} min, then try again.", field="code")


def place_of(address: str) -> str:
    """Where a try comes from: an address, or the network of an IPv6 one, of which a device has as many as it likes."""
    try:
        known = ip_address(address.partition("%")[0])
    except ValueError:
        return address[:60]
    return str(ip_network(f"{known}/64", strict=False)) if known.version == 6 else str(known)


def _live(office: Office, connection: Connection, pairing_id: UUID) -> Pairing:
    one = rows.pairing(connection, office.firm_id, pairing_id)
    if one is None or not rules.is_live(one, office.clock()):
        raise Refused(OVER)
    return one


def _keyed(office: Office, about: str, one: Pairing) -> bytes:
    return hmac.digest(office.settings.secret(), f"{about}:{one.id}".encode(), "sha256")
