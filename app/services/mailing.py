"""The client's copy by the firm's mail account: kept in a queue that shows what waits, tried again until it went.

The account lies in the data folder as `keys/mail.key` (0600), and leaves only sealed in a portable backup.
"""

import asyncio
import logging
from dataclasses import replace
from datetime import datetime, timedelta
from uuid import UUID, uuid4

import msgspec

from app.db.key_folder import KeyFolder
from app.db.repositories import mail
from app.db.repositories.mail import Mail
from app.db.repositories.revisions import Revision
from app.domain.errors import NotFound, OutlayError, Refused
from app.domain.mail import (
    FAILED,
    FOR_DAYS,
    SENDING,
    SENT,
    STOPPED,
    WAITING,
    Letter,
    MailAccount,
    address_of,
    wait_after,
)
from app.interchange.mail_out import SECONDS, Outcome, mail_payload
from app.services import revisions
from app.services.authority import KEYS
from app.services.jobs import Order
from app.services.office import Office
from app.services.revision_entries import on_record
from app.services.revisions import files_of
from app.worker.running import run_in_worker

log = logging.getLogger(__name__)
KEY = "mail.key"
LOOK_EVERY = 20.0  # s
HELD_FOR = timedelta(seconds=4 * SECONDS)  # a try that was cut off is tried again after this
NO_ACCOUNT = (
    "The firm has no mail account yet. Type it on Firm, under “Mail account”; the device's own share sheet needs none."
)
TOO_LONG = "No connection for {days} days. It was given up; send it again, or hand the copy over another way."


def account(office: Office) -> MailAccount | None:
    """The firm's mail account, if it has one."""
    held = _folder(office).read(KEY)
    try:
        return msgspec.json.decode(held, type=MailAccount) if held else None
    except msgspec.DecodeError:
        return None


def shown_account(office: Office) -> MailAccount | None:
    """The account as a page may show it: without its password."""
    held = account(office)
    return replace(held, secret="") if held else None


def set_account(office: Office, one: MailAccount) -> None:
    """Keep the account, in place of what was. Raises: Refused when the disk does not take it."""
    _folder(office).write(KEY, msgspec.json.encode(one))


def forget_account(office: Office) -> None:
    """Take the account out; what waits goes on waiting."""
    _folder(office).place(KEY).unlink(missing_ok=True)


def letters_of(office: Office, job_id: UUID) -> list[Mail]:
    """The letters of a job, the newest first."""
    with office.database.read() as connection:
        return mail.mail_of_job(connection, office.firm_id, str(job_id))


def send(office: Office, job_id: UUID, revision_id: str, to: str, order: Order) -> Mail:
    """Put the newest signed copy of a paper into the queue.

    Raises: BadValue beside `to`, Refused without an account or a signed copy, NotFound.
    """
    one = revisions.of_this_job(office, job_id, revision_id)
    if account(office) is None:
        raise Refused(NO_ACCOUNT, field="to")
    if not one.signed_file:
        raise Refused("Nobody has signed this yet, so there is no copy to send.", field="to")
    now = office.clock().isoformat()
    made = Mail(
        id=str(order.change_id),
        job_id=str(job_id),
        revision_id=one.id,
        address=address_of(to),
        file=one.signed_file,
        made_at=now,
        state=WAITING,
        next_at=now,
    )
    with office.database.write() as connection:
        known = mail.read_mail(connection, office.firm_id, made.id)
        if known is not None:
            return known
        mail.insert_mail(connection, office.firm_id, made)
        what = f"Signed copy of {one.kind} {one.number} to be sent to {made.address}"
        on_record(office, connection, "mail", order, job_id, what, {"revision": one.id, "file": made.file})
    return made


def try_again(office: Office, job_id: UUID, mail_id: str) -> Mail:
    """Try a letter at once, also one that failed. Raises: NotFound; Refused when it went already."""
    one = _of_job(office, job_id, mail_id)
    if one.state == SENT:
        raise Refused("It was sent already. Send the copy anew if it did not arrive.")
    now = office.clock().isoformat()
    return _write(office, replace(one, state=WAITING, next_at=now, tries=0, ended_at=""))


def stop(office: Office, job_id: UUID, mail_id: str) -> Mail:
    """Take a letter out of the queue. Raises: NotFound; Refused when it went already."""
    one = _of_job(office, job_id, mail_id)
    if one.state == SENT:
        raise Refused("It was sent already.")
    return _write(office, replace(one, state=STOPPED, ended_at=office.clock().isoformat()))


async def send_due(office: Office) -> int:
    """Try every letter whose turn has come; how many went."""
    went = 0
    while (one := _take(office)) is not None:
        outcome = await _tried(office, one)
        _ended(office, one, outcome)
        went += outcome.state == SENT
    return went


async def keep_sending(office: Office) -> None:
    """Look every little while, as long as the pages are served."""
    while True:
        await asyncio.sleep(LOOK_EVERY)
        try:
            await send_due(office)
        except OutlayError:
            log.warning("mail trouble")


def _take(office: Office) -> Mail | None:
    """The next letter, marked as being sent: two programs at one database do not send it twice."""
    if account(office) is None:
        return None
    now = office.clock()
    with office.database.read() as connection:
        if mail.due(connection, office.firm_id, now.isoformat()) is None:
            return None
    with office.database.write() as connection:
        one = mail.due(connection, office.firm_id, now.isoformat())
        if one is None:
            return None
        taken = replace(one, state=SENDING, tries=one.tries + 1, next_at=(now + HELD_FOR).isoformat())
        mail.write_mail(connection, taken)
    return taken


async def _tried(office: Office, one: Mail) -> Outcome:
    held = account(office)
    if held is None:
        return Outcome(state=WAITING, why=NO_ACCOUNT)
    try:
        paper, content = revisions.read(office, one.revision_id), files_of(office).read(one.file)
        letter = _letter(office, paper, one)
        payload = mail_payload(held, letter, content, office.clock().timestamp())
        return msgspec.json.decode(await run_in_worker("mail", payload), type=Outcome)
    except OutlayError as wrong:
        return Outcome(state=FAILED, why=wrong.sentence)


def _letter(office: Office, paper: Revision, one: Mail) -> Letter:
    firm = office.firm()
    name = firm.name or "Your contractor"
    reach = ", ".join(part for part in (firm.phone, firm.email) if part)
    signed = "signed by all" if paper.state == "signed" else "as it is signed so far"
    return Letter(
        to=one.address,
        subject=f"{name}: signed copy of {paper.kind} {paper.number}",
        body=(
            f"Attached is your copy of {paper.kind} {paper.number}, {signed}.\n\n"
            "Keep it as it is: a copy that all have signed is locked, and any reader of PDF signatures shows whether "
            f"it is whole.\nYou may ask for a copy on paper at any time.\n\n{name}\n{reach}\n"
        ),
        file_name=f"{paper.kind.replace(' ', '-')}-{paper.number}-signed.pdf",
        message_id=f"<{one.id}@{(account(office) or _NOBODY).sender.partition('@')[2]}>",
    )


_NOBODY = MailAccount(host="", port=0, user="", secret="", sender="nobody@localhost")


def _ended(office: Office, one: Mail, outcome: Outcome) -> None:
    now = office.clock()
    ended, state, why = now.isoformat(), outcome.state, outcome.why
    if state == WAITING:
        if now - datetime.fromisoformat(one.made_at) > timedelta(days=FOR_DAYS):
            state, why = FAILED, TOO_LONG.format(days=FOR_DAYS)
        else:
            ended = ""
    after = replace(one, state=state, why=why, ended_at=ended, next_at=(now + wait_after(one.tries)).isoformat())
    _write(office, after)


def _write(office: Office, one: Mail) -> Mail:
    """Write a letter, and put it on record once it ended."""
    with office.database.write() as connection:
        now = mail.read_mail(connection, office.firm_id, one.id)
        if now is None:
            raise NotFound("There is no such letter (any more).")
        mail.write_mail(connection, one)
        if one.state in (SENT, FAILED):
            what = f"Signed copy {'sent to' if one.state == SENT else 'not sent to'} {one.address}"
            order = Order(change_id=uuid4(), what=what)
            on_record(office, connection, "mail", order, UUID(one.job_id), what, {"mail": one.id, "state": one.state})
    return one


def _of_job(office: Office, job_id: UUID, mail_id: str) -> Mail:
    with office.database.read() as connection:
        one = mail.read_mail(connection, office.firm_id, mail_id)
    if one is None or one.job_id != str(job_id):
        raise NotFound("There is no such letter in this job (any more).")
    return one


def _folder(office: Office) -> KeyFolder:
    return KeyFolder(office.settings.data / KEYS)
