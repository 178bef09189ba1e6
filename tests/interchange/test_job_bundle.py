"""A job with its files in one zip, and what a zip may not do."""

import io
import tracemalloc
import zipfile
from dataclasses import MISSING, fields, replace
from hashlib import sha256
from typing import Any
from uuid import UUID

import pytest

from app.domain.basis import Basis, Firm, FirmPage
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Client, Head, Job, Photo, Site
from app.interchange import job_bundle
from app.interchange.job_bundle import files_named, read_job_bundle, write_job_bundle
from app.interchange.job_file import write_job_file

PICTURE, TERMS = b"a picture", b"pages of terms"


def name_of(content: bytes) -> str:
    return sha256(content).hexdigest()


BASIS = Basis(firm=Firm(terms=FirmPage(title="Terms", file=name_of(TERMS))))
JOB = Job(
    head=Head(id=UUID(int=1), client_id=UUID(int=2)),
    client=Client(id=UUID(int=2)),
    site=Site(id=UUID(int=3)),
    photos=(Photo(id=UUID(int=4), file=name_of(PICTURE)),),
)
FILES = {name_of(PICTURE): PICTURE, name_of(TERMS): TERMS}


def zipped(*entries: tuple[str, bytes], **how: Any) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", **how) as held:
        for name, content in entries:
            held.writestr(name, content)
    return out.getvalue()


JOB_JSON = ("job.json", write_job_file(JOB, BASIS))


def test_bundle_survives_with_the_same_bytes_and_only_named_files() -> None:
    written = write_job_bundle(JOB, BASIS, FILES | {name_of(b"other"): b"other"})
    read = read_job_bundle(written)
    assert (read.job_file.job, read.job_file.basis, read.files, read.missing) == (JOB, BASIS, FILES, ())
    assert write_job_bundle(read.job_file.job, read.job_file.basis, read.files) == written
    assert files_named(JOB, BASIS) == tuple(sorted(FILES))


WITH_A_FILE = {place: kind for kind, place in JOB_THINGS.values() if "file" in {one.name for one in fields(kind)}}


@pytest.mark.parametrize("place", sorted(WITH_A_FILE))
def test_every_file_that_a_thing_of_a_job_names_travels(place: str) -> None:
    kind, named = WITH_A_FILE[place], name_of(b"theirs")
    needed = {
        one.name: UUID(int=9) for one in fields(kind) if one.default is MISSING and one.default_factory is MISSING
    }
    thing: Any = kind(**{**needed, "file": named})
    assert named in files_named(replace(JOB, **{place: (thing,)}), BASIS)


def test_bundle_without_a_file_says_which_is_missing() -> None:
    read = read_job_bundle(write_job_bundle(JOB, BASIS, {name_of(PICTURE): PICTURE}))
    assert read.missing == (name_of(TERMS),)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "the zip cannot be read"),
        (b"PK\x03\x04broken", "the zip cannot be read"),
        (zipped(("files/" + name_of(PICTURE), PICTURE)), "holds no job.json"),
        (zipped(JOB_JSON, ("../../outside", b"x")), "does not belong"),
        (zipped(JOB_JSON, ("/etc/passwd", b"x")), "does not belong"),
        (zipped(JOB_JSON, ("files/../../x", b"x")), "does not belong"),
        (zipped(JOB_JSON, ("files/" + name_of(PICTURE) + "/x", b"x")), "does not belong"),
        (zipped(JOB_JSON, ("files/" + name_of(PICTURE) + "\n", PICTURE)), "does not belong"),
        (zipped(JOB_JSON, ("files/" + name_of(PICTURE), b"another")), "does not match its name"),
        (zipped(JOB_JSON, *((f"files/{n:064x}", b"") for n in range(501))), "holds 502 files"),
        (zipped(("job.json", b"{}")), "does not say it is"),
    ],
)
def test_zip_that_is_no_bundle_is_refused_in_a_sentence(content: bytes, sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        read_job_bundle(content)


def test_file_twice_is_refused() -> None:
    with pytest.warns(UserWarning, match="Duplicate name"):
        content = zipped(JOB_JSON, JOB_JSON)
    with pytest.raises(BadValue, match="a file twice"):
        read_job_bundle(content)


def test_zip_that_unpacks_to_too_much_is_stopped_early(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = zipped(JOB_JSON, ("files/" + "0" * 64, b"\0" * 60_000_000), compression=zipfile.ZIP_DEFLATED)
    assert len(bomb) < 100_000
    with pytest.raises(BadValue, match="unpacks to more"):
        read_job_bundle(bomb)
    many = [(f"files/{name_of(bytes([n]) * 1000)}", bytes([n]) * 1000) for n in range(5)]
    monkeypatch.setattr(job_bundle, "MOST_TOTAL_BYTES", len(JOB_JSON[1]) + 4_500)
    with pytest.raises(BadValue, match="unpacks to more"):
        read_job_bundle(zipped(JOB_JSON, *many))


def test_zip_bomb_is_not_unpacked_beyond_the_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = zipped(JOB_JSON, ("files/" + "0" * 64, b"\0" * 60_000_000), compression=zipfile.ZIP_DEFLATED)
    monkeypatch.setattr(job_bundle, "MOST_FILE_BYTES", 1_000_000)
    tracemalloc.start()
    with pytest.raises(BadValue, match="unpacks to more"):
        read_job_bundle(bomb)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 10_000_000


def test_zip_that_lies_about_a_size_is_refused() -> None:
    honest = zipped(JOB_JSON, ("files/" + name_of(PICTURE), PICTURE))
    lying = honest.replace(len(PICTURE).to_bytes(4, "little") * 2, (2).to_bytes(4, "little") * 2)
    assert lying != honest
    with pytest.raises(BadValue, match=r"cannot be read|does not match"):
        read_job_bundle(lying)
