"""Locked copies: no byte can be another and nothing can follow, by our own check and by a reader that is not ours."""

import dataclasses
import random
import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pypdf
import pytest

from app.documents.locking import LockKey, is_locked, lock_of, locked
from app.documents.signing import sign_payload, signed_copy
from app.documents.verifying import LOCK_BROKEN, LOCK_GONE, OTHER_KEY, copy_words, faults_of_signed_copy, looked_into
from app.domain.errors import BadValue
from app.interchange.certificates import fingerprint, new_signing
from app.worker import run_now
from tests.documents.test_signing import SIGNED_AT, document, signature, signing

FLIPS = 200
RECORD = "5e" * 32


def new_key(firm: str = "Brackenfold Yards") -> LockKey:
    made = new_signing(firm, datetime(2027, 3, 1, tzinfo=UTC))
    return LockKey(key=made.key, certificate=made.certificate)


@pytest.fixture(scope="module")
def key() -> LockKey:
    return new_key()


@pytest.fixture(scope="module")
def offered() -> bytes:
    return document("<h1>A terrace and a fire</h1><h2 style='page-break-before:always'>Palette</h2>")


@pytest.fixture(scope="module")
def copy(offered: bytes, key: LockKey) -> bytes:
    return signed_copy(offered, dataclasses.replace(signing(), lock=key, record=RECORD))


def appended(document: bytes, change: Callable[[Any], None]) -> bytes:
    """The document with one more well-formed incremental update."""
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(BytesIO(document))
    change(writer)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def new_page(writer: Any) -> None:
    from pyhanko.pdf_utils.generic import DictionaryObject, NumberObject, pdf_name

    root = writer.root["/Pages"]
    last = writer.find_page_for_modification(0)[0].get_object()
    page = DictionaryObject({pdf_name("/Type"): pdf_name("/Page"), pdf_name("/MediaBox"): last["/MediaBox"]})
    page[pdf_name("/Parent")] = writer.root.raw_get("/Pages")
    root["/Kids"].append(writer.add_object(page))
    root[pdf_name("/Count")] = NumberObject(int(root["/Count"]) + 1)
    writer.update_container(root)
    writer.update_container(root["/Kids"])


def changed_content(writer: Any) -> None:
    from pyhanko.pdf_utils.generic import StreamObject, pdf_name

    page, _ = writer.find_page_for_modification(0)
    page.get_object()[pdf_name("/Contents")] = writer.add_object(StreamObject(stream_data=b"BT ET"))
    writer.mark_update(page)


def form_value(writer: Any) -> None:
    from pyhanko.pdf_utils.generic import DictionaryObject, TextStringObject, pdf_name

    form = writer.root["/AcroForm"]
    field = DictionaryObject({pdf_name("/FT"): pdf_name("/Tx"), pdf_name("/T"): TextStringObject("price")})
    field[pdf_name("/V")] = TextStringObject("$1")
    form["/Fields"].append(writer.add_object(field))
    writer.update_container(form["/Fields"])


def annotation(writer: Any) -> None:
    from pyhanko.pdf_utils.generic import ArrayObject, DictionaryObject, NumberObject, TextStringObject, pdf_name

    page, _ = writer.find_page_for_modification(0)
    note = DictionaryObject({pdf_name("/Type"): pdf_name("/Annot"), pdf_name("/Subtype"): pdf_name("/FreeText")})
    note[pdf_name("/Rect")] = ArrayObject(NumberObject(at) for at in (50, 50, 300, 80))
    note[pdf_name("/Contents")] = TextStringObject("and a pool")
    page.get_object()[pdf_name("/Annots")] = ArrayObject([writer.add_object(note)])
    writer.mark_update(page)


def new_trailer(document: bytes) -> bytes:
    """An update of a trailer alone, which names another catalog."""
    at = int(re.findall(rb"startxref\s+(\d+)", document)[-1])
    size = int(pypdf.PdfReader(BytesIO(document)).trailer["/Size"])
    table = len(document)
    return document + (
        f"xref\n0 0\ntrailer\n<< /Size {size} /Root 1 0 R /Prev {at} >>\nstartxref\n{table}\n%%EOF\n"
    ).encode("ascii")


APPENDS: dict[str, Callable[[bytes], bytes]] = {
    "a page": lambda whole: appended(whole, new_page),
    "other content of a page": lambda whole: appended(whole, changed_content),
    "a value of a form": lambda whole: appended(whole, form_value),
    "an annotation": lambda whole: appended(whole, annotation),
    "another trailer": new_trailer,
    "bytes after the end": lambda whole: whole + b"more",
}


def test_locked_copy_begins_with_the_offered_bytes_and_is_whole(offered: bytes, copy: bytes, key: LockKey) -> None:
    assert copy.startswith(offered)
    assert faults_of_signed_copy(copy, offered) == ()
    found = lock_of(copy)
    assert found is not None
    assert (found.owner, found.fingerprint) == ("Brackenfold Yards", key.fingerprint)
    assert found.locked_at == SIGNED_AT
    assert key.fingerprint == fingerprint(key.certificate)
    assert len(re.findall(rb"%%EOF", copy[len(offered) :])) == 2


def test_two_hundred_flipped_bits_are_all_refused(offered: bytes, copy: bytes) -> None:
    """Bits anywhere in the file, the lock's own bytes among them."""
    chance = random.Random(20270309)
    for _ in range(FLIPS):
        at, bit = chance.randrange(len(copy)), chance.randrange(8)
        flipped = bytearray(copy)
        flipped[at] ^= 1 << bit
        assert lock_of(bytes(flipped)) is None, (at, bit)
        assert faults_of_signed_copy(bytes(flipped), offered), (at, bit)


def test_bits_of_the_lock_itself_are_refused(copy: bytes) -> None:
    begin = copy.rindex(b"/Contents <")
    end = copy.index(b">", begin)
    chance = random.Random(7)
    for at in chance.sample(range(begin, end), 120):
        flipped = bytearray(copy)
        flipped[at] ^= 1 << chance.randrange(8)
        assert lock_of(bytes(flipped)) is None, at


@pytest.mark.parametrize("what", APPENDS)
def test_nothing_can_follow_a_locked_copy(what: str, offered: bytes, copy: bytes) -> None:
    more = APPENDS[what](copy)
    assert more.startswith(copy)
    assert len(more) > len(copy)
    assert faults_of_signed_copy(more, offered) == (LOCK_BROKEN,)
    assert not looked_into(more).whole


@pytest.mark.skipif(not shutil.which("pdfsig"), reason="Poppler's pdfsig is not installed")
def test_a_reader_that_is_not_ours_finds_the_lock_valid_over_the_whole_file(copy: bytes, tmp_path: Path) -> None:
    """Poppler's pdfsig. It exits 0 on a changed file too, so its words are read."""
    place = tmp_path / "copy.pdf"

    def said(content: bytes) -> str:
        place.write_bytes(content)
        return subprocess.run(["pdfsig", "-nocert", place], capture_output=True, text=True, check=False).stdout

    good = said(copy)
    assert "Signature is Valid." in good
    assert "Total document signed" in good
    assert "Brackenfold Yards" in good
    changed = bytearray(copy)
    changed[200] ^= 1
    assert "Signature is Valid." not in said(bytes(changed))
    assert "Not total document signed" in said(APPENDS["a page"](copy))


def test_another_library_reads_a_locked_copy_and_finds_no_changes_allowed(copy: bytes) -> None:
    with pikepdf.open(BytesIO(copy)) as opened:
        assert opened.check_pdf_syntax() == []
        reference = opened.Root.Perms.DocMDP.Reference[0]
        assert reference.TransformMethod == "/DocMDP"
        assert int(reference.TransformParams.P) == 1  # ISO 32000-1, table 254: no changes
        assert len(opened.pages) == 3


def test_page_names_the_key_and_the_record(copy: bytes, key: LockKey) -> None:
    found = looked_into(copy)
    assert found.whole
    assert found.record == RECORD
    assert found.lock is not None
    text = re.sub(r"\s", "", pypdf.PdfReader(BytesIO(copy)).pages[-1].extract_text())
    assert key.fingerprint in text
    said = copy_words(found)
    assert "whole" in said
    assert "the key of Brackenfold Yards" in said


def test_copy_is_found_whole_without_the_offered_file(offered: bytes, copy: bytes) -> None:
    found = looked_into(copy)
    assert found.offered == sha256(offered).hexdigest()
    assert found.offered_bytes == len(offered)


def test_lock_taken_off_or_made_with_another_key_is_found(offered: bytes, copy: bytes) -> None:
    found = lock_of(copy)
    assert found is not None
    bare = copy[: found.before]
    assert faults_of_signed_copy(bare, offered) == (LOCK_GONE,)
    forged = locked(bare, new_key(), SIGNED_AT)
    assert faults_of_signed_copy(forged, offered) == (OTHER_KEY,)
    assert OTHER_KEY in copy_words(looked_into(forged))


def test_copy_from_before_there_were_locks_is_whole_and_said_to_be_without(offered: bytes) -> None:
    old = signed_copy(offered, signing())
    assert not is_locked(old)
    assert faults_of_signed_copy(old, offered) == ()
    assert "not locked" in copy_words(looked_into(old))


def test_copy_that_waits_is_not_locked(offered: bytes, key: LockKey) -> None:
    waiting = dataclasses.replace(signing(signature(), waits_for=("Joss Whitlock",)), lock=key)
    with pytest.raises(BadValue, match="locked when all have signed"):
        signed_copy(offered, waiting)


def test_what_is_locked_is_not_locked_again(copy: bytes, key: LockKey) -> None:
    with pytest.raises(BadValue, match="locked already"):
        locked(copy, key, SIGNED_AT)


def test_what_is_no_signed_copy_is_said_so(offered: bytes) -> None:
    assert "no signed copy" in copy_words(looked_into(offered))
    assert "cannot be read" in copy_words(looked_into(b"%PDF-1.7\nnothing"))
    assert not looked_into(b"").whole


def test_worker_locks(offered: bytes, key: LockKey) -> None:
    made = run_now("sign", sign_payload(offered, dataclasses.replace(signing(), lock=key)))
    assert lock_of(made) is not None
