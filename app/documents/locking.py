"""The lock of a signed copy: a certification signature with the firm's own key that allows no further change.

One more incremental update after the signature page (ISO 32000-1, 12.8.2.2, DocMDP with P 1), over every byte of the
file but its own. Whoever signed shows consent by their hand; the lock shows that the file is whole, and by whose key.
"""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from typing import Any

from app.documents.appending import continued
from app.domain.errors import BadValue

FIELD = "Lock"
REASON = "Locked when all had signed"


@dataclass(frozen=True, slots=True, kw_only=True)
class LockKey:
    """A private key and its certificate, both PEM. Given to the worker for one copy; it keeps neither."""

    key: bytes
    certificate: bytes

    @property
    def fingerprint(self) -> str:
        """The SHA-256 of the certificate, hex, as every reader of PDF signatures shows it."""
        from cryptography.hazmat.primitives import serialization
        from cryptography.x509 import load_pem_x509_certificate

        der = load_pem_x509_certificate(self.certificate).public_bytes(serialization.Encoding.DER)
        return sha256(der).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Lock:
    """A lock as it was found on a file: whose it says it is, and what lay under it."""

    owner: str  # the name in the certificate: proved only by its fingerprint
    fingerprint: str  # of the certificate, SHA-256, hex
    locked_at: datetime | None  # by the clock of the machine that locked it
    before: int  # bytes of the file as it was before the lock


def locked(document: bytes, key: LockKey, locked_at: datetime) -> bytes:
    """`document` followed by one update: its lock. Raises: BadValue when it is no readable PDF, or locked already."""
    from pyhanko.sign import fields, signers

    if b"/ByteRange" in document:
        raise BadValue("This copy is locked already. Nothing is added to a locked copy.")
    writer = continued(document)
    meta = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        reason=REASON,
        certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES,
        subfilter=fields.SigSeedSubFilter.PADES,
    )
    spec = fields.SigFieldSpec(FIELD, on_page=-1)  # the last page is one we added; nothing is drawn
    made = signers.PdfSigner(meta, _signer(key), new_field_spec=spec)
    return _signed_at(made, writer, locked_at)


def _signed_at(signer: Any, writer: Any, moment: datetime) -> bytes:
    """The session of the library, step by step, so that it takes our clock; nothing is fetched."""
    import asyncio
    from concurrent.futures import ThreadPoolExecutor

    from pyhanko.sign.signers.pdf_cms import PdfCMSSignedAttributes

    async def act() -> bytes:
        session = signer.init_signing_session(writer)
        session.system_time = moment
        reserved = await session.estimate_signature_container_size(None, tight=False)
        prepared = session.prepare_tbs_document(validation_info=None, bytes_reserved=reserved)
        digest, out = prepared.digest_tbs_document()
        attributes = PdfCMSSignedAttributes(signing_time=moment, adobe_revinfo_attr=None)
        done = await prepared.perform_signature(document_digest=digest.document_digest, pdf_cms_signed_attrs=attributes)
        await done.post_signature_processing(out)
        return bytes(out.getvalue())

    with ThreadPoolExecutor(1) as beside:  # the library wants a loop of its own, whoever asks
        return beside.submit(asyncio.run, act()).result()


def _signer(key: LockKey) -> Any:
    """The library's signer of a PEM pair."""
    from asn1crypto import keys, x509
    from cryptography.hazmat.primitives import serialization
    from cryptography.x509 import load_pem_x509_certificate
    from pyhanko.sign import signers
    from pyhanko_certvalidator.registry import SimpleCertificateStore

    der = serialization.Encoding.DER
    private = serialization.load_pem_private_key(key.key, password=None).private_bytes(
        der, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    certificate = x509.Certificate.load(load_pem_x509_certificate(key.certificate).public_bytes(der))
    return signers.SimpleSigner(
        signing_cert=certificate,
        signing_key=keys.PrivateKeyInfo.load(private),
        cert_registry=SimpleCertificateStore.from_certs([certificate]),
        embed_roots=False,  # the certificate once
    )


def is_locked(content: bytes) -> bool:
    """Whether a file carries a lock at all; it may be broken."""
    return b"/ByteRange" in content


def lock_of(content: bytes) -> Lock | None:
    """The lock of a file, if every byte is what was locked; None where it carries none or any byte is another."""
    try:
        return _lock(content)
    except Exception:  # noqa: BLE001  whatever a damaged file makes a reader do, it is not what was locked
        return None


def _lock(content: bytes) -> Lock | None:
    from pyhanko.pdf_utils.reader import PdfFileReader

    reader = PdfFileReader(BytesIO(content), strict=True)
    found = reader.embedded_signatures
    if len(found) != 1:
        return None
    one = found[0]
    if not (_covers_all(one, content) and _forbids_changes(one, reader) and _holds(one)):
        return None
    certificate = one.signer_cert
    return Lock(
        owner=str(certificate.subject.native.get("common_name", "")),
        fingerprint=sha256(certificate.dump()).hexdigest(),
        locked_at=one.self_reported_timestamp,
        before=_before(content, one),
    )


def _covers_all(one: Any, content: bytes) -> bool:
    """Every byte but the signature's own is under it, and its own are written in the one way we write them."""
    start, first, second, rest = (int(number) for number in one.byte_range)
    gap = content[first:second]
    raw = bytes(one.pkcs7_content)
    whole = start == 0 and second + rest == len(content) and first < second
    return whole and gap == b"<" + raw.hex().upper().encode() + b">" and _exact(raw)


def _exact(raw: bytes) -> bool:
    """Whether a signature is written in the one way we write it, and followed by zeros alone.

    Of what a signature holds only the signed attributes are under it. What is beside them is made anew from them here
    and compared, so that nothing else can be put there (RFC 5652, 5.1 and 5.3).
    """
    from asn1crypto import cms

    content = cms.ContentInfo.load(raw)
    der, held = content.dump(), content["content"]
    info, certificate = held["signer_infos"][0], held["certificates"][0].chosen
    sha256_named = {"algorithm": "sha256"}
    own = {
        "version": "v1",
        "sid": cms.SignerIdentifier(
            "issuer_and_serial_number", {"issuer": certificate.issuer, "serial_number": certificate.serial_number}
        ),
        "digest_algorithm": sha256_named,
        "signed_attrs": info["signed_attrs"],
        "signature_algorithm": {"algorithm": "sha256_ecdsa"},
        "signature": info["signature"].native,
    }
    anew = cms.ContentInfo(
        {
            "content_type": "signed_data",
            "content": {
                "version": "v1",
                "digest_algorithms": [sha256_named],
                "encap_content_info": {"content_type": "data"},
                "certificates": [certificate],
                "signer_infos": [own],
            },
        }
    )
    return raw.startswith(der) and der == anew.dump() and not raw[len(der) :].strip(b"\0")


def _forbids_changes(one: Any, reader: Any) -> bool:
    from pyhanko.sign.fields import MDPPerm

    perms = reader.root.get("/Perms", {})
    return "/DocMDP" in perms and one.docmdp_level is MDPPerm.NO_CHANGES


def _holds(one: Any) -> bool:
    """The digest of the bytes is the one that was signed, and the key of the certificate signed it."""
    from pyhanko.sign.validation.generic_cms import validate_sig_integrity

    digest = one.compute_digest()
    intact, valid = validate_sig_integrity(one.signer_info, one.signer_cert, "data", digest)
    return bool(intact and valid and _names_its_certificate(one))


def _names_its_certificate(one: Any) -> bool:
    """The signed part names the certificate (RFC 5035), so that no other can be put beside it."""
    for attribute in one.signer_info["signed_attrs"]:
        if attribute["type"].native == "signing_certificate_v2":
            held = attribute["values"][0]["certs"][0]["cert_hash"].native
            return bool(held == sha256(one.signer_cert.dump()).digest())
    return False


def _before(content: bytes, one: Any) -> int:
    """Where the lock's own update begins: after the end of the one before it."""
    field = content.rindex(b"%%EOF", 0, int(one.byte_range[1]))
    return field + len(b"%%EOF") + (1 if content[field + 5 : field + 6] == b"\n" else 0)
