"""The client's copy by mail: over TLS only, waiting for a connection where there is none, tried again, never sent twice."""

import asyncio
import email
import email.policy
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.errors import BadValue, NotFound, Refused
from app.domain.mail import MailAccount, account_of
from app.interchange import mail_out
from app.services import mailing, portable, revisions
from app.services.office import Office
from tests.mail_stub import SECRET, USER, Stub, mail_server
from tests.offering import offer, order, sign
from tests.web.conftest import Browser

TO = "linnea@example.org"
Case = tuple[dict[str, object], dict[str, object], str, str]  # what the server and the account are; state, why


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Stub]:
    with mail_server(tmp_path / "mail") as stub:
        monkeypatch.setattr(mail_out, "trusting", stub.trusted)
        yield stub


@pytest.fixture
def signed(stocked: Office, ready: UUID) -> str:
    one = offer(stocked, ready)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(stocked, ready, one.id, name, place="office")
    return one.id


def account(port: int, **other: object) -> MailAccount:
    told = {"host": "localhost", "port": port, "user": USER, "secret": SECRET, "sender": "maren@brackenfold.example"}
    return account_of(**{**told, **other})  # type: ignore[arg-type]


def sent(office: Office) -> int:
    return asyncio.run(mailing.send_due(office))


def newest(office: Office, job_id: UUID) -> mailing.Mail:
    return mailing.letters_of(office, job_id)[0]


def test_copy_goes_with_its_very_bytes_over_tls(stocked: Office, ready: UUID, signed: str, server: Stub) -> None:
    mailing.set_account(stocked, account(server.port))
    made = mailing.send(stocked, ready, signed, f" {TO} ", order())
    assert made.state == "waiting"
    assert sent(stocked) == 1
    assert newest(stocked, ready).state == "sent"
    assert newest(stocked, ready).ended_at
    (letter,) = server.letters
    read = email.message_from_bytes(letter, policy=email.policy.default)
    (attached,) = read.iter_attachments()
    assert attached.get_content() == revisions.hand_out(stocked, signed, "signed")
    assert (read["To"], read["From"]) == (TO, "maren@brackenfold.example")
    assert "proposal 1" in read["Subject"]
    assert server.in_the_open == ["EHLO", "STARTTLS"], "no name, password or address went in the open"
    assert sent(stocked) == 0
    assert len(server.letters) == 1


def test_server_with_tls_from_the_first_byte(
    stocked: Office, ready: UUID, signed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with mail_server(tmp_path / "mail", at_once=True) as stub:
        monkeypatch.setattr(mail_out, "trusting", stub.trusted)
        monkeypatch.setattr(mail_out, "TLS_AT_ONCE", stub.port)
        mailing.set_account(stocked, account(stub.port))
        mailing.send(stocked, ready, signed, TO, order())
        assert sent(stocked) == 1


def test_without_a_connection_it_waits_and_goes_later(stocked: Office, ready: UUID, signed: str, server: Stub) -> None:
    mailing.set_account(stocked, account(1))  # nobody listens there
    mailing.send(stocked, ready, signed, TO, order())
    assert sent(stocked) == 0
    one = newest(stocked, ready)
    assert (one.state, one.tries) == ("waiting", 1)
    assert "No connection to localhost yet." in one.why
    mailing.set_account(stocked, account(server.port))
    assert sent(stocked) == 0, "its turn has not come"
    stocked.clock.now += timedelta(minutes=2)  # type: ignore[attr-defined]
    assert sent(stocked) == 1


def test_what_waits_too_long_is_given_up_and_said(stocked: Office, ready: UUID, signed: str) -> None:
    mailing.set_account(stocked, account(1))
    mailing.send(stocked, ready, signed, TO, order())
    sent(stocked)
    stocked.clock.now += timedelta(days=6)  # type: ignore[attr-defined]
    sent(stocked)
    one = newest(stocked, ready)
    assert one.state == "failed"
    assert "5 days" in one.why


@pytest.mark.parametrize(
    "case",
    [
        ({"tls": False}, {}, "failed", "does not offer TLS"),
        ({}, {"secret": "wrong"}, "failed", "does not take the user name"),
        ({"answers": {"RCPT": "550 no such person"}}, {}, "failed", "550 no such person"),
        ({"answers": {"RCPT": "451 try later"}}, {}, "waiting", "451 try later"),
    ],
)
def test_a_server_that_refuses_says_why_and_nothing_goes_in_the_open(
    stocked: Office, ready: UUID, signed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, case: Case
) -> None:
    server_is, account_is, state, why = case
    with mail_server(tmp_path / "mail", **server_is) as stub:
        monkeypatch.setattr(mail_out, "trusting", stub.trusted)
        mailing.set_account(stocked, account(stub.port, **account_is))
        mailing.send(stocked, ready, signed, TO, order())
        sent(stocked)
        one = newest(stocked, ready)
        assert (one.state, why in one.why) == (state, True), one.why
        assert stub.letters == []
        assert set(stub.in_the_open) <= {"EHLO", "STARTTLS", "QUIT"}


def test_certificate_that_nobody_vouches_for_is_refused(
    stocked: Office, ready: UUID, signed: str, tmp_path: Path
) -> None:
    with mail_server(tmp_path / "mail") as stub:
        mailing.set_account(stocked, account(stub.port))
        mailing.send(stocked, ready, signed, TO, order())
        sent(stocked)
        assert newest(stocked, ready).state == "failed"
        assert "cannot be trusted" in newest(stocked, ready).why
        assert stub.letters == []


def test_letter_is_tried_anew_or_taken_out(stocked: Office, ready: UUID, signed: str, server: Stub) -> None:
    mailing.set_account(stocked, account(server.port, secret="wrong"))
    mailing.send(stocked, ready, signed, TO, order())
    sent(stocked)
    one = newest(stocked, ready)
    mailing.set_account(stocked, account(server.port))
    mailing.try_again(stocked, ready, one.id)
    assert sent(stocked) == 1
    with pytest.raises(Refused, match="sent already"):
        mailing.stop(stocked, ready, one.id)
    other = mailing.send(stocked, ready, signed, TO, order())
    mailing.stop(stocked, ready, other.id)
    assert sent(stocked) == 0
    with pytest.raises(NotFound):
        mailing.stop(stocked, ready, str(uuid4()))


def test_what_cannot_be_sent_is_refused_in_a_sentence(stocked: Office, ready: UUID, signed: str) -> None:
    with pytest.raises(Refused, match="no mail account"):
        mailing.send(stocked, ready, signed, TO, order())
    mailing.set_account(stocked, account(25))
    for typed in ("", "linnea", "a@b", "x@example.org\nBcc: y@example.org", "a b@example.org"):
        with pytest.raises(BadValue, match="no mail address"):
            mailing.send(stocked, ready, signed, typed, order())
    for wrong in ({"host": "not a host"}, {"port": 0}, {"secret": ""}, {"user": " "}, {"sender": "nobody"}):
        with pytest.raises(BadValue):
            account(**{"port": 25, **wrong})  # type: ignore[arg-type]
    unsigned = offer(stocked, ready)
    with pytest.raises(Refused, match="Nobody has signed"):
        mailing.send(stocked, ready, unsigned.id, TO, order())


def test_password_is_private_and_leaves_only_sealed(stocked: Office, tmp_path: Path) -> None:
    mailing.set_account(stocked, account(25))
    place = stocked.settings.data / "keys" / "mail.key"
    assert place.stat().st_mode & 0o777 == 0o600
    portable.write(stocked, tmp_path / "plain.zip")
    portable.write(stocked, tmp_path / "sealed.zip", passphrase="several words of a passphrase")
    for name in ("plain.zip", "sealed.zip"):
        assert SECRET.encode() not in (tmp_path / name).read_bytes()
    mailing.forget_account(stocked)
    assert mailing.account(stocked) is None


def test_pages_show_what_waits_and_never_the_password(stocked: Office, ready: UUID, signed: str) -> None:
    browser = Browser(stocked)
    told = {"host": "localhost", "port": "1", "user": USER, "secret": SECRET, "sender": "maren@brackenfold.example"}
    with browser.client:
        assert browser.post("/firm/mail", {**told, "host": "no host"}).status_code == 422
        assert browser.post("/firm/mail", told).status_code == 303
        assert SECRET not in browser.get("/firm").text
        page = browser.get(f"/show/{ready}/sign/{signed}").text
        assert "Keep it on this device" in page
        assert "Share it from this device" in page
        assert browser.post(f"/show/{ready}/mail/{signed}", {"to": "nobody"}).status_code == 422
        assert browser.post(f"/show/{ready}/mail/{signed}", {"to": TO}).status_code == 303
        assert "Waits for a connection" in browser.get(f"/show/{ready}/sign/{signed}").text
        page = browser.get(f"/jobs/{ready}/proposal").text
        assert "Waits for a connection" in page
        (one,) = mailing.letters_of(stocked, ready)
        assert browser.post(f"/jobs/{ready}/mail/{one.id}/stop", {}).status_code == 303
        assert "Taken out of the queue" in browser.get(f"/jobs/{ready}/proposal").text
        kept = browser.get(f"/show/{ready}/file/{signed}/signed.pdf?keep=true")
        assert kept.headers["content-disposition"].startswith("attachment")
        assert browser.post("/firm/mail/forget", {}).status_code == 303
        assert "Send it by mail to" not in browser.get(f"/show/{ready}/sign/{signed}").text
