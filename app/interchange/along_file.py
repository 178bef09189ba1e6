"""The file a job goes along in to another machine, and comes back in: a zip that says what it is and lists checksums.

about.json      which taking, of which job, from where, as of when
job.json        the job file: the job with the prices and recipes it rests on
revisions.json  what was issued, with the hash of every page, signature and scan
record.json     the record of the job: a stretch of the chain of the machine that wrote the file
files/HASH      photos, quotes, terms; offered and signed pages, byte for byte
SHA256SUMS      the checksum of each of them
"""

import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import Any

import msgspec

from app.domain.errors import BadValue
from app.domain.record_chain import Chain, read_chain
from app.interchange.archive import SUMS, check_content_names, check_sums, contents, opened, put, strange_name, sums_of
from app.interchange.job_bundle import MOST_FILE_BYTES, MOST_TOTAL_BYTES, TOO_MUCH, JobBundle, files_named
from app.interchange.job_file import MOST_BYTES, read_job_file

FORMAT, VERSION = "outlay job along", 1
ALONG, BACK = "along", "back"
JOB, ABOUT, REVISIONS, RECORD = "job.json", "about.json", "revisions.json", "record.json"
PARTS = (ABOUT, JOB, REVISIONS, RECORD)
MOST_FILES = 3_000
FILE = re.compile(r"files/([0-9a-f]{64})")
KNOWN = re.compile(rf"{'|'.join(re.escape(one) for one in (*PARTS, SUMS))}|{FILE.pattern}")
CHANGED = "It was changed or damaged after it was written. Nothing was changed here; make the file again."


class About(msgspec.Struct, kw_only=True, frozen=True):
    """What the file says of itself."""

    format: str = FORMAT
    version: int = VERSION
    way: str  # along: from the office; back: to it
    taking: str
    job_id: str
    name: str  # who or what takes it along
    firm: str  # whose office it left
    at: str  # when it was written, ISO in UTC
    counter: int  # the job's, as it was written
    head: str  # of the record it was written from
    numbers: dict[str, int]  # kind of revision → the number after which those made away begin
    returned: tuple[str, ...] = ()  # heads of the records of earlier takings that the office has taken in


@dataclass(frozen=True, slots=True, kw_only=True)
class AlongFile:
    """A file that was read and holds: its job with its files, what was issued (plain), its record, its parts' bytes."""

    about: About
    bundle: JobBundle
    revisions: list[Any]
    chain: Chain
    parts: Mapping[str, bytes]


def write_along(parts: Mapping[str, bytes], files: Mapping[str, bytes]) -> bytes:
    """The zip of the named parts and files by hash, with its list of checksums."""
    held = {**{name: parts[name] for name in PARTS}, **{f"files/{name}": files[name] for name in sorted(files)}}
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, content in held.items():
            put(made, name, content, packed=name in PARTS)
        put(made, SUMS, sums_of({name: sha256(content).hexdigest() for name, content in held.items()}))
    return out.getvalue()


def is_along(content: bytes) -> bool:
    """Whether a file says that it is a job taken along, or coming back."""
    try:
        with opened(content, BadValue, "") as held:
            return ABOUT in held.namelist() and RECORD in held.namelist()
    except BadValue:
        return False


def read_along(content: bytes) -> AlongFile:
    """A job taken along, or coming back, held against its checksums, hashes and chain.

    Raises: BadValue, in a sentence, on anything that does not hold.
    """
    with opened(content, BadValue, f"This is no job that was taken along: the zip cannot be read. {CHANGED}") as held:
        if len(held.namelist()) > MOST_FILES:
            raise BadValue(f"This zip holds more than {MOST_FILES:,} files. No job that was taken along does.")
        if (strange := strange_name(held, KNOWN)) is not None:
            raise BadValue(f"This zip holds “{strange[:60]}”, which belongs to no job that was taken along. {CHANGED}")
        found = dict(contents(held, _most_bytes_of, MOST_TOTAL_BYTES, BadValue(TOO_MUCH)))
        if missing := next((name for name in (*PARTS, SUMS) if name not in found), None):
            raise BadValue(f"This file lacks its {missing}. {CHANGED}")
        check_sums(held, _changed, "file")
        check_content_names(held, FILE, _changed, "file")
    return _read(found)


def _read(found: Mapping[str, bytes]) -> AlongFile:
    about, revisions = _about(found[ABOUT]), _decoded(found[REVISIONS])
    job_file, chain = read_job_file(found[JOB]), read_chain(found[RECORD])
    if str(job_file.job.head.id) != about.job_id or not isinstance(revisions, list) or chain.head != about.head:
        raise BadValue(f"The parts of this file do not belong together. {CHANGED}")
    files = {named[1]: content for name, content in found.items() if (named := FILE.fullmatch(name))}
    missing = tuple(name for name in files_named(job_file.job, job_file.basis) if name not in files)
    bundle = JobBundle(job_file=job_file, files=files, missing=missing)
    parts = {name: found[name] for name in PARTS}
    return AlongFile(about=about, bundle=bundle, revisions=revisions, chain=chain, parts=parts)


def _about(content: bytes) -> About:
    try:
        about = msgspec.json.decode(content, type=About)
    except msgspec.DecodeError as wrong:
        raise BadValue(f"This file does not say which job it is. {CHANGED}") from wrong
    if about.format != FORMAT or about.way not in (ALONG, BACK):
        raise BadValue(f"This file does not say which job it is. {CHANGED}")
    if about.version > VERSION:
        raise BadValue("This file was written by a newer program. Bring this one up to date, then open it again.")
    return about


def _decoded(content: bytes) -> Any:
    try:
        return msgspec.json.decode(content)
    except msgspec.DecodeError as wrong:
        raise BadValue(f"What was issued cannot be read in this file. {CHANGED}") from wrong


def _changed(said: str) -> BadValue:
    return BadValue(f"{said.removesuffix(' Nothing was changed.')} {CHANGED}")


def _most_bytes_of(name: str) -> int:
    return MOST_BYTES if name in PARTS or name == SUMS else MOST_FILE_BYTES
