"""The slow hash of a passcode (scrypt, RFC 7914), in a process of its own: it takes memory and time on purpose."""

import hashlib
from typing import Any

# OWASP Password Storage Cheat Sheet: N = 2^17, r = 8, p = 1 at least, which is 128 MB
COST = {"n": 2**17, "r": 8, "p": 1}
LENGTH = 32  # bytes


def stretched(passcode: bytes, salt: bytes, *, n: int, r: int, p: int, length: int = LENGTH) -> bytes:
    """The hash of a passcode with its salt. Source: RFC 7914."""
    return hashlib.scrypt(passcode, salt=salt, n=n, r=r, p=p, dklen=length, maxmem=132 * n * r + 2**20)


def passcode_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "passcode": [passcode, salt] in, its hash out."""
    tell(0.1, "Checking the passcode")
    passcode, salt = payload
    return stretched(passcode, salt, **COST)
