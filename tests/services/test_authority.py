"""Keys in the data folder: private, made once, made anew when they no longer hold."""

from datetime import timedelta
from pathlib import Path
from zipfile import ZipFile

from app.domain.sharing import SERVER_LASTS, SharedName
from app.services.authority import serving, trusted
from app.services.backups import back_up
from app.services.office import Office

CALLED = SharedName(name="brackenfold.local", secure_port=8138, plain_port=8139)


def test_keys_are_their_owners_alone(office: Office) -> None:
    files = serving(office, CALLED, "10.0.0.5")
    folder = files.key.parent
    assert folder.stat().st_mode & 0o777 == 0o700
    assert {path.name: path.stat().st_mode & 0o777 for path in folder.iterdir()} == dict.fromkeys(
        ("authority.key", "authority.crt", "server.key", "server.crt"), 0o600
    )


def test_the_authority_stays_while_the_server_certificate_changes(office: Office) -> None:
    before = trusted(office, CALLED)
    first = serving(office, CALLED, "10.0.0.5").certificate.read_bytes()
    assert serving(office, CALLED, "10.0.0.5").certificate.read_bytes() == first
    moved = serving(office, CALLED, "172.20.10.2").certificate.read_bytes()
    assert moved != first
    later = office.clock() + SERVER_LASTS - timedelta(days=30)
    office.clock = lambda: later
    assert serving(office, CALLED, "172.20.10.2").certificate.read_bytes() != moved
    assert trusted(office, CALLED) == before


def test_a_torn_authority_is_made_anew(office: Office) -> None:
    before = trusted(office, CALLED)
    (office.settings.data / "keys" / "authority.key").write_bytes(b"half")
    assert trusted(office, CALLED).fingerprint != before.fingerprint


def test_no_key_is_in_a_backup(office: Office, tmp_path: Path) -> None:
    serving(office, CALLED, "10.0.0.5")
    back_up(office, tmp_path / "today.zip")
    with ZipFile(tmp_path / "today.zip") as opened:
        held = {name: opened.read(name) for name in opened.namelist()}
    assert [name for name, content in held.items() if b"PRIVATE KEY" in content or "keys" in name] == []
