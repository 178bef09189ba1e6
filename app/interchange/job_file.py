"""The job file: one job with all it stands on, in canonical JSON, so that it can be kept, compared and opened anywhere.

    {"basis": …, "format": "outlay job", "hashes": …, "job": …, "version": 1}

Keys are sorted and numbers written our own way: the same values give the same bytes. `hashes` holds the SHA-256 of
the job and of each value of the basis, over their canonical bytes. Older versions are brought up to date in memory.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from hashlib import sha256
from typing import Any
from uuid import UUID

import msgspec

from app.domain.basis import Basis
from app.domain.codec import canonical_bytes, from_plain, json_schema, to_plain
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Job

FORMAT = "outlay job"
VERSION = 2
MOST_BYTES = 20_000_000

Plain = dict[str, Any]


def packets_name_works(plain: Plain) -> Plain:
    """Version 2 says `work_ids` for the works of a packet, and those that are gone are not in it."""
    job = plain.get("job")
    if not isinstance(job, dict) or not job.get("packets"):
        return plain
    there = {work["id"] for work in job.get("works", ())}
    packets = [
        {name: value for name, value in one.items() if name != "works"}
        | {"work_ids": [work for work in one.get("works", ()) if work in there]}
        for one in job["packets"]
    ]
    return {**plain, "job": {**job, "packets": packets}}


# version → what makes the next version of it
UPGRADES: Mapping[int, Callable[[Plain], Plain]] = {1: packets_name_works}
KEYED_BY = {"prices": "material", "rules": "id"}  # else "key"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFile:
    """What a job file holds, and in which version it was written."""

    job: Job
    basis: Basis
    version: int = VERSION


def write_job_file(job: Job, basis: Basis) -> bytes:
    """A job and its basis as the bytes of a job file. `app.interchange.trimming.trimmed` leaves out what it never uses.

    Raises: BadValue when a number is too large to be kept.
    """
    plain = {"format": FORMAT, "version": VERSION, "job": to_plain(job), "basis": to_plain(basis)}
    return canonical_bytes({**plain, "hashes": hashes_of(plain)})


def read_job_file(content: bytes) -> JobFile:
    """The job and basis in a job file.

    Raises: BadValue, saying what is wrong, on another kind of file, a newer version, a field or value that is unknown
    or missing, content that does not match its hash, or a reference to a thing that is not there.
    """
    plain = _opened(content)
    version = plain["version"]
    _check_hashes(plain)
    plain = upgraded(plain)
    job, basis = from_plain(plain.get("job"), Job), from_plain(plain.get("basis"), Basis)
    _check_known(plain["job"], to_plain(job), "job")
    _check_known(plain["basis"], to_plain(basis), "basis")
    _check_references(job)
    _check_keys(basis)
    return JobFile(job=job, basis=basis, version=version)


def job_file_schema() -> Plain:
    """The JSON Schema (2020-12) of a job file."""
    schema = json_schema(JobFileContent)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"{FORMAT}, version {VERSION}",
        **schema,
    }


def hashes_of(plain: Plain) -> Plain:
    """The SHA-256 of the job and of each value of the basis, as a job file states them."""
    basis = {
        name: {key: _hash(value) for key, value in held.items()} if name != "firm" else _hash(held)
        for name, held in plain["basis"].items()
    }
    return {"job": _hash(plain["job"]), "basis": basis}


def upgraded(
    plain: Plain, *, upgrades: Mapping[int, Callable[[Plain], Plain]] | None = None, newest: int | None = None
) -> Plain:
    """Bring an older file's plain data up to date, one version at a time."""
    steps = UPGRADES if upgrades is None else upgrades
    while plain["version"] < (newest or VERSION):
        version = plain["version"]
        plain = {**steps[version](plain), "version": version + 1}
    return plain


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFileContent:
    """The file's shape, for its schema."""

    format: str
    version: int
    job: Job
    basis: Basis
    hashes: dict[str, Any]


def _opened(content: bytes) -> Plain:
    if len(content) > MOST_BYTES:
        raise BadValue(f"This file is larger than {MOST_BYTES // 1_000_000} MB: that is no job file of ours.")
    try:
        plain = msgspec.json.decode(content)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as wrong:
        raise BadValue("This is not a job file: it does not read as JSON.") from wrong
    if not isinstance(plain, dict) or plain.get("format") != FORMAT:
        raise BadValue(f"This is not a job file: it does not say it is an “{FORMAT}”.")
    version = plain.get("version")
    if type(version) is not int or version < 1:
        raise BadValue("This job file does not say which version it is.")
    if version > VERSION:
        raise BadValue(
            f"This job file was written by a newer program (version {version}; this one reads up to {VERSION}). "
            "Bring this program up to date, then open it again."
        )
    return plain


def _check_hashes(plain: Plain) -> None:
    try:
        wanted = hashes_of(plain)
    except (KeyError, AttributeError, TypeError) as wrong:
        raise BadValue("This job file lacks its job or its basis.") from wrong
    stated = plain.get("hashes")
    if stated == wanted:
        return
    where = next(_differing(wanted, stated, "")) or "its list of hashes"
    raise BadValue(f"This job file was changed or damaged after it was written: {where}. Take an unchanged copy.")


def _differing(wanted: Any, stated: Any, place: str) -> Iterator[str]:
    if not isinstance(wanted, dict) or not isinstance(stated, dict):
        if wanted != stated:
            yield place
        return
    for key in sorted(wanted.keys() | stated.keys()):
        yield from _differing(wanted.get(key), stated.get(key), f"{place}, {key}" if place else key)


def _check_known(plain: Any, known: Any, place: str) -> None:
    """Refuse a field that reading would lose."""
    if isinstance(plain, dict) and isinstance(known, dict):
        for key, value in plain.items():
            if key not in known:
                raise BadValue(f"This job file holds “{key}” in {place}, which this program does not know.")
            _check_known(value, known[key], f"{place}, {key}")
    elif isinstance(plain, list) and isinstance(known, list):
        for number, (value, other) in enumerate(zip(plain, known, strict=True), 1):
            _check_known(value, other, f"{place} {number}")


def _check_references(job: Job) -> None:
    """Every id is one thing's, and every thing that is named is there."""
    things = list(_things(job))
    ids = [thing.id for thing in things]
    twice = next((one for one in ids if ids.count(one) > 1), None) if len(set(ids)) < len(ids) else None
    if twice is not None:
        raise BadValue(f"Two things in this job file have the same id, {twice}.")
    known = set(ids)
    for thing in things:
        for name, named in _named(thing):
            if named not in known:
                one = _a(type(thing).__name__.lower()).capitalize()
                raise BadValue(f"{one} in this job file names {_a(name)} that is not in it.")


def _a(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _things(job: Job) -> Iterator[Any]:
    for _, place in JOB_THINGS.values():
        held = getattr(job, place)
        yield from held if isinstance(held, tuple) else (held,)


def _named(thing: Any) -> Iterator[tuple[str, UUID]]:
    """Ids of other things that a thing or a value in it holds, with the name of what they are."""
    for field in fields(thing):
        value = getattr(thing, field.name)
        if field.name.endswith("_id") and value is not None:
            yield field.name.removesuffix("_id"), value
        elif field.name.endswith("_ids"):
            yield from ((field.name.removesuffix("_ids"), one) for one in value)
        elif isinstance(value, tuple):
            yield from (named for one in value if is_dataclass(one) for named in _named(one))


def _check_keys(basis: Basis) -> None:
    for field in fields(basis):
        held = getattr(basis, field.name)
        if not isinstance(held, Mapping):
            continue
        for key, value in held.items():
            own = getattr(value, KEYED_BY.get(field.name, "key"))
            if own != key:
                raise BadValue(f"In this job file's {field.name}, “{key}” calls itself “{own}”.")


def _hash(plain: Any) -> str:
    return sha256(canonical_bytes(plain)).hexdigest()
