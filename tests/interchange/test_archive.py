"""One place for zips: what may stand in them, how much may come out of them, and the list of checksums they carry."""

import re
import zipfile
from hashlib import sha256
from io import BytesIO

import pytest

from app.domain.errors import BadValue
from app.interchange import archive

KNOWN = re.compile(r"[a-z]\.json|SHA256SUMS|files/([0-9a-f]{64})")
CONTENT = b"content of a"


def zipped(*entries: tuple[str, bytes], sums: dict[str, bytes] | None = None) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as held:
        for name, content in entries:
            archive.put(held, name, content)
        if sums is not None:
            archive.put(held, archive.SUMS, archive.sums_of({n: sha256(c).hexdigest() for n, c in sums.items()}))
    return out.getvalue()


def test_same_values_give_the_same_bytes() -> None:
    assert zipped(("a.json", CONTENT)) == zipped(("a.json", CONTENT))


@pytest.mark.parametrize("name", ["../a.json", "/a.json", "aa.json", "a.json\n"])
def test_name_that_is_not_ours_is_told(name: str) -> None:
    with zipfile.ZipFile(BytesIO(zipped(("a.json", b""), (name, b"")))) as held:
        assert archive.strange_name(held, KNOWN) == name


def test_name_that_stands_twice_is_told() -> None:
    with pytest.warns(UserWarning, match="Duplicate"):
        content = zipped(("a.json", b""), ("a.json", b""))
    with zipfile.ZipFile(BytesIO(content)) as held:
        assert archive.strange_name(held, KNOWN) == "a.json"
    with zipfile.ZipFile(BytesIO(zipped(("a.json", b"")))) as held:
        assert archive.strange_name(held, KNOWN) is None


@pytest.mark.parametrize(
    ("sums", "sentence"),
    [
        ({"a.json": CONTENT}, None),
        ({"a.json": b"other"}, "a.json in this file is damaged"),
        ({}, "does not hold what its list"),
        ({"a.json": CONTENT, "b.json": b""}, "does not hold what its list"),
    ],
)
def test_checksums_are_held_against_everything(sums: dict[str, bytes], sentence: str | None) -> None:
    with zipfile.ZipFile(BytesIO(zipped(("a.json", CONTENT), sums=sums))) as held:
        if sentence is None:
            archive.check_sums(held, BadValue, "file")
        else:
            with pytest.raises(BadValue, match=sentence):
                archive.check_sums(held, BadValue, "file")


def test_file_named_by_its_content_must_hold_it() -> None:
    good, bad = f"files/{sha256(CONTENT).hexdigest()}", f"files/{'0' * 64}"
    with zipfile.ZipFile(BytesIO(zipped((good, CONTENT)))) as held:
        archive.check_content_names(held, KNOWN, BadValue, "file")
    with (
        zipfile.ZipFile(BytesIO(zipped((bad, CONTENT)))) as held,
        pytest.raises(BadValue, match="damaged: 000000000000"),
    ):
        archive.check_content_names(held, KNOWN, BadValue, "file")


def test_what_is_no_zip_is_refused_with_the_sentence() -> None:
    with pytest.raises(BadValue, match=r"No zip\."), archive.opened(b"PK\x03\x04", BadValue, "No zip."):
        pass
