"""Handing a letter to the firm's mail server: TLS always, with a certificate that is checked; one letter a connection.

A server that cannot be reached is no failure: the letter waits. One that answers and refuses says why.
"""

import smtplib
import ssl
from collections.abc import Mapping
from email.message import EmailMessage
from email.utils import formatdate
from typing import Any

import msgspec

from app.domain.mail import FAILED, SENT, TLS_AT_ONCE, WAITING, Letter, MailAccount

SECONDS = 20.0
NOT_REACHED = "No connection to {host} yet."
NOT_TRUSTED = "{host} shows a certificate that cannot be trusted, so nothing was sent: {why}."
NO_TLS = "{host} does not offer TLS on port {port}, so nothing was sent. Try 465 or 587."
NOT_LET_IN = "{host} does not take the user name and password of the mail account. Type them again on Firm."
REFUSED = "{host} refuses it: {why}"


class Outcome(msgspec.Struct, kw_only=True, frozen=True):
    """What became of a try: `sent`, `waiting` (no connection) or `failed`, and why, in a sentence."""

    state: str
    why: str = ""


def mail_payload(account: MailAccount, letter: Letter, content: bytes, now: float) -> Mapping[str, Any]:
    """The payload of the worker's task "mail"; `now` in seconds since 1970."""
    plain = {"account": msgspec.to_builtins(account), "letter": msgspec.to_builtins(letter)}
    return {**plain, "content": content, "now": now}


def mail_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "mail"."""
    tell(0.1, "Asking the mail server")
    account = msgspec.convert(payload["account"], MailAccount)
    letter = msgspec.convert(payload["letter"], Letter)
    return msgspec.json.encode(sent(account, message_of(account, letter, payload["content"], payload["now"])))


def message_of(account: MailAccount, letter: Letter, content: bytes, now: float) -> EmailMessage:
    """The letter as it travels. Nothing typed can begin a header of its own: the library refuses line ends in them."""
    made = EmailMessage()
    made["From"], made["To"], made["Subject"] = account.sender, letter.to, " ".join(letter.subject.split())
    made["Date"], made["Message-ID"] = formatdate(now, localtime=False), letter.message_id
    made.set_content(letter.body)
    made.add_attachment(content, maintype="application", subtype="pdf", filename=letter.file_name)
    return made


def sent(account: MailAccount, message: EmailMessage) -> Outcome:
    """Try once."""
    try:
        with _connected(account) as server:
            server.login(account.user, account.secret)
            server.send_message(message)
    except (OSError, smtplib.SMTPException) as wrong:
        return _outcome(account, wrong)
    return Outcome(state=SENT)


def _outcome(account: MailAccount, wrong: Exception) -> Outcome:
    """What a try that went wrong means; first what is said by the narrower of these errors."""
    named = {"host": account.host, "port": account.port}
    for_good: Mapping[type, str] = {
        smtplib.SMTPNotSupportedError: NO_TLS.format(**named),
        smtplib.SMTPAuthenticationError: NOT_LET_IN.format(**named),
    }
    if isinstance(wrong, ssl.SSLCertVerificationError):
        return Outcome(state=FAILED, why=NOT_TRUSTED.format(**named, why=wrong.verify_message or "it is not checked"))
    if type(wrong) in for_good:
        return Outcome(state=FAILED, why=for_good[type(wrong)])
    if isinstance(wrong, smtplib.SMTPRecipientsRefused):
        return _refused(account, *next(iter(wrong.recipients.values())))
    if isinstance(wrong, smtplib.SMTPResponseException):
        return _refused(account, wrong.smtp_code, wrong.smtp_error)
    return Outcome(state=WAITING, why=NOT_REACHED.format(**named))


def _connected(account: MailAccount) -> smtplib.SMTP:
    context = trusting()
    if account.port == TLS_AT_ONCE:
        return smtplib.SMTP_SSL(account.host, account.port, timeout=SECONDS, context=context)
    server = smtplib.SMTP(account.host, account.port, timeout=SECONDS)
    try:
        server.starttls(context=context)
    except BaseException:
        server.close()
        raise
    return server


def trusting() -> ssl.SSLContext:
    """TLS 1.2 and up, with the certificates that this system trusts."""
    context = ssl.create_default_context()
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context


def _refused(account: MailAccount, code: int, why: bytes | str) -> Outcome:
    """A code of 4xx is for now (RFC 5321, 4.2.1): it waits; 5xx is for good."""
    said = why.decode("utf-8", "replace") if isinstance(why, bytes) else why
    words = REFUSED.format(host=account.host, why=f"{code} {' '.join(said.split())[:300]}")
    return Outcome(state=WAITING if 400 <= code < 500 else FAILED, why=words)
