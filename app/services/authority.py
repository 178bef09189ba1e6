"""The firm's own authority in the data folder, and the server certificate it signs for where it is shared just now."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from app.db.key_folder import KeyFolder
from app.domain.sharing import SharedName
from app.interchange import certificates
from app.interchange.certificates import Keyed
from app.services.office import Office

AUTHORITY, SERVER = "authority", "server"
KEYS = "keys"  # the folder within the data folder


@dataclass(frozen=True, slots=True, kw_only=True)
class Trusted:
    """What the one-time trust step hands out, and what both screens show: never a key."""

    certificate: bytes  # DER
    fingerprint: str  # hex
    lasts_until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Serving:
    """The files a server over HTTPS opens: certificate and key, both PEM."""

    certificate: Path
    key: Path


def trusted(office: Office, called: SharedName) -> Trusted:
    """The authority's certificate; the authority is made when there is none, or none that still signs."""
    made = _authority(office, called).certificate
    return Trusted(
        certificate=certificates.as_der(made),
        fingerprint=certificates.fingerprint(made),
        lasts_until=certificates.lasts_until(made),
    )


def serving(office: Office, called: SharedName, address: str) -> Serving:
    """A server certificate that is good now for this name and this address of the network: kept, or made anew."""
    keys, authority, now = _folder(office), _authority(office, called), office.clock()
    kept = _read(keys, SERVER)
    if kept is None or not certificates.serves(kept, authority, called.name, (address,), now):
        kept = certificates.new_server(authority, called.name, (address,), now)
        _write(keys, SERVER, kept)
    return Serving(certificate=keys.place(f"{SERVER}.crt"), key=keys.place(f"{SERVER}.key"))


def _authority(office: Office, called: SharedName) -> Keyed:
    keys, now = _folder(office), office.clock()
    kept = _read(keys, AUTHORITY)
    if kept is None or not certificates.is_authority_for(kept, called.name, now):
        kept = certificates.new_authority(f"{office.firm().name or 'Outlay'}, own devices", called.name, now)
        _write(keys, AUTHORITY, kept)
    return kept


def _folder(office: Office) -> KeyFolder:
    return KeyFolder(office.settings.data / KEYS)


def _read(keys: KeyFolder, name: str) -> Keyed | None:
    key, certificate = keys.read(f"{name}.key"), keys.read(f"{name}.crt")
    return Keyed(key=key, certificate=certificate) if key and certificate else None


def _write(keys: KeyFolder, name: str, one: Keyed) -> None:
    """The key first: a certificate without its key is made anew, never the other way round."""
    keys.write(f"{name}.key", one.key)
    keys.write(f"{name}.crt", one.certificate)
