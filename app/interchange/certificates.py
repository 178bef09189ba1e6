"""The firm's own local authority and the server certificates it signs: X.509 (RFC 5280), made and read.

The authority may sign for one name and for addresses of local networks only, which its certificate says itself
(critical name constraints): were its key ever taken, it could not stand in for any other place.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from ipaddress import IPv4Address

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.domain.sharing import AUTHORITY_LASTS, CLOCKS_APART, LOCAL_NETWORKS, RENEW_BEFORE, SERVER_LASTS

NO_END = datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)

_NO_USE = dict.fromkeys(
    (
        "content_commitment",
        "key_encipherment",
        "data_encipherment",
        "key_agreement",
        "encipher_only",
        "decipher_only",
        "digital_signature",
        "key_cert_sign",
        "crl_sign",
    ),
    False,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyed:
    """A certificate with its private key, both PEM. The key never leaves the data folder."""

    key: bytes
    certificate: bytes


def new_authority(title: str, name: str, now: datetime) -> Keyed:
    """An authority for one host name, as in `brackenfold.local`; `title` is what a tablet lists it by."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, title[:64])])
    own = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    only = x509.NameConstraints([x509.DNSName(name), *map(x509.IPAddress, LOCAL_NETWORKS)], None)
    built = (
        _begun(subject, subject, key.public_key(), now)
        .not_valid_after(now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.KeyUsage(**{**_NO_USE, "key_cert_sign": True, "crl_sign": True}), critical=True)
        .add_extension(only, critical=True)
        .add_extension(own, critical=False)
    )
    return _keyed(built.sign(key, hashes.SHA256()), key)


def new_signing(firm: str, now: datetime) -> Keyed:
    """A key that locks signed copies, in a certificate of its own name: nobody else vouches for it.

    It has no end (RFC 5280, 4.1.2.5): a copy is looked at years later, and no clock but ours said when it was locked.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, firm[:64])])
    own = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    uses = {**_NO_USE, "digital_signature": True, "content_commitment": True}
    built = (
        _begun(subject, subject, key.public_key(), now)
        .not_valid_after(NO_END)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.KeyUsage(**uses), critical=True)
        .add_extension(own, critical=False)
    )
    return _keyed(built.sign(key, hashes.SHA256()), key)


def still_signs(signing: Keyed) -> bool:
    """Whether a kept signing key is whole and fits its certificate."""
    try:
        return _key(signing).public_key() == _certificate(signing).public_key()
    except (ValueError, TypeError):
        return False


def new_server(authority: Keyed, name: str, addresses: Sequence[str], now: datetime) -> Keyed:
    """A server certificate for a name and the addresses it has just now, signed by the authority."""
    key = ec.generate_private_key(ec.SECP256R1())
    issuer, signer = _certificate(authority), _key(authority)
    names = x509.SubjectAlternativeName([x509.DNSName(name), *(x509.IPAddress(IPv4Address(one)) for one in addresses)])
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:64])])
    end = min(now + SERVER_LASTS, issuer.not_valid_after_utc)
    built = (
        _begun(subject, issuer.subject, key.public_key(), now)
        .not_valid_after(end)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.KeyUsage(**{**_NO_USE, "digital_signature": True}), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(names, critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False)
    )
    return _keyed(built.sign(signer, hashes.SHA256()), key)


def serves(server: Keyed, authority: Keyed, name: str, addresses: Sequence[str], now: datetime) -> bool:
    """Whether a server certificate is still good: by this authority, for this name and these addresses, long enough."""
    try:
        mine = _certificate(server)
        mine.verify_directly_issued_by(_certificate(authority))
        fits = _key(server).public_key() == mine.public_key()
        names = mine.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    held = {str(one) for one in names.get_values_for_type(x509.IPAddress)}
    said = names.get_values_for_type(x509.DNSName) == [name] and held >= set(addresses)
    return fits and said and mine.not_valid_before_utc <= now and mine.not_valid_after_utc - now > RENEW_BEFORE


def is_authority_for(authority: Keyed, name: str, now: datetime) -> bool:
    """Whether an authority can still sign for this name: whole, of this name, and outlasting what it signs."""
    try:
        mine = _certificate(authority)
        fits = _key(authority).public_key() == mine.public_key()
        only = mine.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    except (ValueError, TypeError, x509.ExtensionNotFound):
        return False
    return fits and x509.DNSName(name) in only and mine.not_valid_after_utc - now > SERVER_LASTS


def as_der(certificate: bytes) -> bytes:
    """A PEM certificate as DER, the form that tablets take."""
    return x509.load_pem_x509_certificate(certificate).public_bytes(serialization.Encoding.DER)


def fingerprint(certificate: bytes) -> str:
    """The SHA-256 of a certificate (of its DER), hex: what every system shows as its fingerprint."""
    return sha256(as_der(certificate)).hexdigest()


def lasts_until(certificate: bytes) -> datetime:
    """When a certificate ends, in UTC."""
    return x509.load_pem_x509_certificate(certificate).not_valid_after_utc.astimezone(UTC)


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, now: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_APART)
    )


def _keyed(certificate: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> Keyed:
    return Keyed(
        key=key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        ),
        certificate=certificate.public_bytes(serialization.Encoding.PEM),
    )


def _certificate(one: Keyed) -> x509.Certificate:
    return x509.load_pem_x509_certificate(one.certificate)


def _key(one: Keyed) -> ec.EllipticCurvePrivateKey:
    key = serialization.load_pem_private_key(one.key, password=None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise TypeError("not a key of ours")
    return key
