"""Mail that leaves with a signed copy: the firm's account, what a letter is, when it is tried again."""

import re
from dataclasses import dataclass
from datetime import timedelta

from app.domain.errors import BadValue

WAITING, SENDING, SENT, FAILED, STOPPED = "waiting", "sending", "sent", "failed", "stopped"
TLS_AT_ONCE = (
    465  # RFC 8314: TLS from the first byte; on any other port the connection is turned to TLS before the name
)
LONGEST = 254  # characters of an address (RFC 5321, 4.5.3.1.3)
_ADDRESS = re.compile(r"[A-Za-z0-9._%+'-]{1,64}@[A-Za-z0-9-]{1,63}(\.[A-Za-z0-9-]{1,63})+")
_HOST = re.compile(r"[A-Za-z0-9-]{1,63}(\.[A-Za-z0-9-]{1,63})*")
WAITS = (1, 2, 5, 15, 30, 60)  # minutes before the next try; then hourly
FOR_DAYS = 5  # after so many days without a connection it is given up (as mail servers do, RFC 5321, 4.5.4.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class MailAccount:
    """The account of the firm at its mail provider. `secret` never leaves the data folder but to that server."""

    host: str
    port: int
    user: str
    secret: str
    sender: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter with one PDF."""

    to: str
    subject: str
    body: str
    file_name: str
    message_id: str


def address_of(typed: str, field: str = "to") -> str:
    """A mail address as typed. Raises: BadValue, in a sentence, when it is none.

    >>> address_of(" linnea@example.org ")
    'linnea@example.org'
    """
    address = typed.strip()
    if len(address) > LONGEST or not _ADDRESS.fullmatch(address):
        raise BadValue(f"“{typed.strip()[:80]}” is no mail address. One looks like name@example.org.", field=field)
    return address


def account_of(host: str, port: int, user: str, secret: str, sender: str) -> MailAccount:
    """An account that can be tried. Raises: BadValue beside what is missing or cannot be."""
    if not _HOST.fullmatch(host.strip()):
        raise BadValue("Type the name of the mail server, as in smtp.example.org.", field="host")
    if not 1 <= port <= 65_535:
        raise BadValue("A port is a number from 1 to 65535; 465 and 587 are the usual ones.", field="port")
    if not secret:
        raise BadValue("Type the account's password. Many providers make one for programs only.", field="secret")
    if not user.strip():
        raise BadValue("Type the user name of the mail account; often it is the address itself.", field="user")
    return MailAccount(
        host=host.strip(), port=port, user=user.strip(), secret=secret, sender=address_of(sender, field="sender")
    )


def wait_after(tries: int) -> timedelta:
    """How long to wait after so many tries without a connection (1 and up).

    >>> wait_after(1), wait_after(4), wait_after(100)
    (datetime.timedelta(seconds=60), datetime.timedelta(seconds=900), datetime.timedelta(seconds=3600))
    """
    return timedelta(minutes=WAITS[min(max(tries, 1), len(WAITS)) - 1])
