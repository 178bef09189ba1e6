"""Zips of ours, in one place: the same values give the same bytes; read within limits; held against checksums."""

import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from app.domain.errors import OutlayError

SUMS = "SHA256SUMS"  # what `sha256sum -c` reads
LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the first day a zip can name: the same values give the same bytes
UNREADABLE = (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, RuntimeError, EOFError, KeyError, OSError)

Refusal = Callable[[str], OutlayError]


@contextmanager
def opened(source: Path | bytes, refusal: Refusal, sentence: str) -> Iterator[zipfile.ZipFile]:
    """A zip to read; whatever cannot be read of it is refused with the sentence, a file that is not there is not."""
    try:
        with zipfile.ZipFile(BytesIO(source) if isinstance(source, bytes) else source) as held:
            yield held
    except FileNotFoundError:
        raise
    except UNREADABLE as wrong:
        raise refusal(sentence) from wrong


def put(held: zipfile.ZipFile, name: str, content: bytes, *, packed: bool = True) -> None:
    """Put a file into a zip; what is packed already (pictures, PDFs) is not packed again."""
    info = zipfile.ZipInfo(name, LONG_AGO)
    info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
    info.external_attr = 0o600 << 16
    held.writestr(info, content)


def strange_name(held: zipfile.ZipFile, known: re.Pattern[str]) -> str | None:
    """The first name in a zip that is not of ours (so none leads outside a folder), or that stands there twice."""
    seen: set[str] = set()
    for name in held.namelist():
        if name in seen or not known.fullmatch(name):
            return name
        seen.add(name)
    return None


def contents(
    held: zipfile.ZipFile, most: Callable[[str], int], most_in_all: int, refused: OutlayError
) -> Iterator[tuple[str, bytes]]:
    """Each file's name and content, never more than `most` bytes of it nor `most_in_all`, whatever the zip says.

    Raises: `refused`.
    """
    left = most_in_all
    for info in held.infolist():
        limit = min(left, most(info.filename))
        with held.open(info) as stream:
            content = stream.read(limit + 1)
        if len(content) > limit:
            raise refused
        left -= len(content)
        yield info.filename, content


def sums_of(hashes: Mapping[str, str]) -> bytes:
    """A list of checksums, by name.

    >>> sums_of({"a.json": "ab12"}).split()
    [b'ab12', b'a.json']
    """
    return "".join(f"{hashed}  {name}\n" for name, hashed in hashes.items()).encode()


def check_sums(held: zipfile.ZipFile, refusal: Refusal, what: str) -> None:
    """Hold everything in a zip against its list of checksums; `what` it is, in a sentence ("backup").

    Raises: what `refusal` makes, on a file that is not named, is not there, or holds something else.
    """
    lines = held.read(SUMS).decode(errors="replace").splitlines()
    sums = {name: hashed for hashed, _, name in (line.partition("  ") for line in lines)}
    if set(sums) != set(held.namelist()) - {SUMS}:
        raise refusal(f"This {what} does not hold what its list of checksums names. Nothing was changed.")
    for name, hashed in sums.items():
        if sha256(held.read(name)).hexdigest() != hashed:
            raise refusal(f"{name[:80]} in this {what} is damaged. Nothing was changed.")


def check_content_names(held: zipfile.ZipFile, named: re.Pattern[str], refusal: Refusal, what: str) -> None:
    """Hold every file that is named by its content (the first group of `named`) against its name.

    Raises: what `refusal` makes.
    """
    for name in held.namelist():
        hashed = named.fullmatch(name)
        if hashed and sha256(held.read(name)).hexdigest() != hashed[1]:
            raise refusal(f"A file in this {what} is damaged: {hashed[1][:12]}…. Nothing was changed.")
