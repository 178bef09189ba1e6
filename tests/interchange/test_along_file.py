"""The file a job goes along in: what may stand in it, and how much may come out of it."""

import zipfile
from io import BytesIO

import pytest

from app.domain.errors import BadValue
from app.interchange import along_file, archive
from app.interchange.along_file import is_along, read_along
from tests.interchange.test_job_bundle import JOB_JSON, zipped

BOMB = b"\0" * 60_000_000


def test_other_zips_are_none() -> None:
    assert not is_along(b"")
    assert not is_along(b"PK\x03\x04")
    assert not is_along(zipped(JOB_JSON))


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "the zip cannot be read"),
        (zipped(JOB_JSON), "lacks its about.json"),
        (zipped(("../../outside", b"x")), "belongs to no job"),
        (zipped(("/etc/passwd", b"x")), "belongs to no job"),
        (zipped(("files/x", b"x")), "belongs to no job"),
        (zipped(*((f"files/{n:064x}", b"") for n in range(3_001))), "more than 3,000 files"),
    ],
    ids=["nothing", "a job file", "outside", "root", "no hash", "many"],
)
def test_zip_that_is_no_job_along_is_refused_in_a_sentence(content: bytes, sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        read_along(content)


def test_zip_that_unpacks_to_too_much_is_stopped_early(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(along_file, "MOST_FILE_BYTES", 1_000_000)
    with pytest.raises(BadValue, match="unpacks to more"):
        read_along(zipped(("files/" + "0" * 64, BOMB), compression=zipfile.ZIP_DEFLATED))
    with pytest.raises(BadValue, match="unpacks to more"):
        read_along(zipped(("record.json", BOMB), compression=zipfile.ZIP_DEFLATED))


def test_part_that_does_not_say_what_it_is_is_refused() -> None:
    parts = dict.fromkeys(along_file.PARTS, b"{}")
    with pytest.raises(BadValue, match="does not say which job"):
        read_along(along_file.write_along(parts, {}))
    with zipfile.ZipFile(BytesIO(along_file.write_along(parts, {}))) as held:
        assert set(held.namelist()) == {*along_file.PARTS, archive.SUMS}
