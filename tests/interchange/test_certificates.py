"""The local authority, held against an outside reader: OpenSSL by Python's `ssl`, and its command line where it is here."""

import shutil
import ssl
import subprocess
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
from socket import create_server

import pytest
from cryptography import x509

from app.domain.sharing import LONGEST_SERVER, RENEW_BEFORE, SERVER_LASTS
from app.interchange.certificates import (
    Keyed,
    as_der,
    fingerprint,
    is_authority_for,
    new_authority,
    new_server,
    serves,
)

NOW = datetime.now(UTC).replace(microsecond=0)
NAME = "brackenfold.local"


@pytest.fixture(scope="module")
def authority() -> Keyed:
    return new_authority("Brackenfold Yards, own devices", NAME, NOW)


def shaken(tmp_path: Path, authority: Keyed, server: Keyed, hostname: str) -> str:
    """What OpenSSL says of a handshake as a device that trusts the authority: empty when it is content."""
    (tmp_path / "s.crt").write_bytes(server.certificate)
    (tmp_path / "s.key").write_bytes(server.key)
    offering = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    offering.load_cert_chain(tmp_path / "s.crt", tmp_path / "s.key")
    trusting = ssl.create_default_context(cadata=authority.certificate.decode())
    trusting.verify_flags |= ssl.VERIFY_X509_STRICT  # RFC 5280 to the letter
    with create_server(("127.0.0.1", 0)) as listening:

        def answer() -> None:
            plain, _ = listening.accept()
            try:
                offering.wrap_socket(plain, server_side=True).close()
            except OSError:
                plain.close()

        thread = threading.Thread(target=answer)
        thread.start()
        try:
            import socket

            with socket.create_connection(listening.getsockname(), timeout=10) as plain:
                trusting.wrap_socket(plain, server_hostname=hostname).close()
        except ssl.SSLCertVerificationError as wrong:
            return wrong.verify_message
        finally:
            thread.join(10)
    return ""


def test_a_device_that_trusts_the_authority_accepts_name_and_address(tmp_path: Path, authority: Keyed) -> None:
    server = new_server(authority, NAME, ("192.168.43.7",), NOW)
    assert shaken(tmp_path, authority, server, NAME) == ""
    assert shaken(tmp_path, authority, server, "192.168.43.7") == ""


def test_another_name_another_address_and_another_authority_are_refused(tmp_path: Path, authority: Keyed) -> None:
    server = new_server(authority, NAME, ("192.168.43.7",), NOW)
    assert "mismatch" in shaken(tmp_path, authority, server, "other.local")
    assert "mismatch" in shaken(tmp_path, authority, server, "192.168.43.8")
    stranger = new_authority("Brackenfold Yards, own devices", NAME, NOW)
    assert shaken(tmp_path, stranger, server, NAME)


@pytest.mark.parametrize(("name", "address"), [("bank.example", "192.168.43.7"), (NAME, "203.0.113.7")])
def test_what_the_authority_may_not_sign_is_refused_even_when_it_does(
    tmp_path: Path, authority: Keyed, name: str, address: str
) -> None:
    """Name constraints, RFC 5280 4.2.1.10; 203.0.113.0/24 is RFC 5737's for examples."""
    server = new_server(authority, name, (address,), NOW)
    assert "permitted subtree violation" in shaken(tmp_path, authority, server, name)


@pytest.mark.skipif(not shutil.which("openssl"), reason="the OpenSSL command is not on this machine")
def test_the_openssl_command_verifies_chain_purpose_and_name(tmp_path: Path, authority: Keyed) -> None:
    server = new_server(authority, NAME, ("10.0.0.5",), NOW)
    for name, content in (("ca.pem", authority.certificate), ("server.pem", server.certificate)):
        (tmp_path / name).write_bytes(content)
    words = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", str(tmp_path / "ca.pem")]
    said = subprocess.run(
        [*words, "-verify_hostname", NAME, str(tmp_path / "server.pem")], capture_output=True, text=True, check=False
    )
    assert said.returncode == 0, said.stderr
    shown = subprocess.run(
        ["openssl", "x509", "-in", str(tmp_path / "ca.pem"), "-noout", "-fingerprint", "-sha256"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert shown.stdout.strip().rpartition("=")[2].replace(":", "").lower() == fingerprint(authority.certificate)


def test_a_server_certificate_lasts_less_than_tablets_allow(authority: Keyed) -> None:
    read = x509.load_pem_x509_certificate(new_server(authority, NAME, ("10.0.0.5",), NOW).certificate)
    assert read.not_valid_after_utc - read.not_valid_before_utc <= LONGEST_SERVER
    assert read.not_valid_before_utc < NOW  # a tablet's clock may be late


def test_it_is_made_anew_when_little_is_left_or_the_address_is_another(authority: Keyed) -> None:
    server = new_server(authority, NAME, ("10.0.0.5",), NOW)
    assert serves(server, authority, NAME, ("10.0.0.5",), NOW)
    assert serves(server, authority, NAME, ("10.0.0.5",), NOW + SERVER_LASTS - RENEW_BEFORE - timedelta(days=1))
    assert not serves(server, authority, NAME, ("10.0.0.5",), NOW + SERVER_LASTS - RENEW_BEFORE)
    assert not serves(server, authority, NAME, ("10.0.0.6",), NOW)
    assert not serves(server, authority, "other.local", ("10.0.0.5",), NOW)
    assert not serves(server, new_authority("x", NAME, NOW), NAME, ("10.0.0.5",), NOW)
    assert not serves(Keyed(key=authority.key, certificate=server.certificate), authority, NAME, ("10.0.0.5",), NOW)
    assert not serves(Keyed(key=b"torn", certificate=server.certificate), authority, NAME, ("10.0.0.5",), NOW)


def test_an_authority_signs_for_its_name_as_long_as_it_outlasts_what_it_signs(authority: Keyed) -> None:
    assert is_authority_for(authority, NAME, NOW)
    assert not is_authority_for(authority, "other.local", NOW)
    assert not is_authority_for(authority, NAME, NOW + timedelta(days=3650 - 180))
    assert not is_authority_for(Keyed(key=b"", certificate=b""), NAME, NOW)


def test_the_authority_signs_servers_only_and_no_further_authority(authority: Keyed) -> None:
    """RFC 5280 4.2.1.9 and 4.2.1.3."""
    read = x509.load_pem_x509_certificate(authority.certificate).extensions
    basic, usage = (read.get_extension_for_class(one) for one in (x509.BasicConstraints, x509.KeyUsage))
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    assert (usage.critical, usage.value.key_cert_sign, usage.value.digital_signature) == (True, True, False)


def test_what_tablets_take_is_the_certificate_alone(authority: Keyed) -> None:
    assert x509.load_der_x509_certificate(as_der(authority.certificate)).extensions
    assert b"PRIVATE" not in as_der(authority.certificate) + authority.certificate
