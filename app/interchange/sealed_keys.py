"""Keys that may leave the machine: sealed under a passphrase, so that whoever finds the file has nothing.

scrypt (RFC 7914) with N = 2^17, r = 8, p = 1 (OWASP, Password Storage Cheat Sheet) makes the key, AES-256-GCM (NIST SP
800-38D) seals with a nonce of 96 bits drawn anew; the parameters are sealed with it, so that none can be swapped.
"""

import os
from collections.abc import Mapping

import msgspec
from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from app.domain.errors import BadValue

N, R, P = 2**17, 8, 1
MOST_N = 2**20  # what a file may ask of this machine: 1 GB of memory
SHORTEST = 12  # characters of a passphrase


class _Sealed(msgspec.Struct, kw_only=True, frozen=True):
    n: int
    r: int
    p: int
    salt: bytes
    nonce: bytes
    sealed: bytes


def seal(keys: Mapping[str, bytes], passphrase: str) -> bytes:
    """Files by name, sealed. Raises: BadValue beside `passphrase` when it is too short to keep anything."""
    if len(passphrase) < SHORTEST:
        raise BadValue(
            f"Take at least {SHORTEST} characters, several words for example. Whoever has them has your keys.",
            field="passphrase",
        )
    salt, nonce = os.urandom(16), os.urandom(12)
    sealed = AESGCM(_key(passphrase, salt, N, R, P)).encrypt(nonce, msgspec.json.encode(dict(keys)), _bound(N, R, P))
    return msgspec.json.encode(_Sealed(n=N, r=R, p=P, salt=salt, nonce=nonce, sealed=sealed))


def unseal(content: bytes, passphrase: str) -> dict[str, bytes]:
    """The files again. Raises: BadValue on another passphrase or a file that was changed."""
    try:
        held = msgspec.json.decode(content, type=_Sealed)
        if not (held.n <= MOST_N and held.r == R and held.p == P):
            raise BadValue("The keys in this backup ask for more than this program does. They are left out.")
        key = _key(passphrase, held.salt, held.n, held.r, held.p)
        opened = AESGCM(key).decrypt(held.nonce, held.sealed, _bound(held.n, held.r, held.p))
        return msgspec.json.decode(opened, type=dict[str, bytes])
    except (InvalidTag, ValueError, msgspec.DecodeError) as wrong:
        raise BadValue("The passphrase does not open the keys in this backup.", field="passphrase") from wrong


def _key(passphrase: str, salt: bytes, n: int, r: int, p: int) -> bytes:
    return Scrypt(salt=salt, length=32, n=n, r=r, p=p).derive(passphrase.encode())


def _bound(n: int, r: int, p: int) -> bytes:
    return f"outlay keys 1 {n} {r} {p}".encode()
