"""Signed copies: the offered bytes plus one update, looked at with readers that had no part in writing it."""

import dataclasses
import math
import re
import shutil
import subprocess
from datetime import UTC, datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdf
import pytest
from PIL import Image

from app.documents.appending import append_drawn_pages
from app.documents.pdf import drawing_image, html_to_pdf
from app.documents.signing import Scan, Signature, Signing, moment_in_words, sign_payload, signed_copy
from app.documents.strokes import strokes_svg
from app.documents.verifying import faults_of_signed_copy
from app.domain.errors import BadValue
from app.worker import run_now

SIGNED_AT = datetime(2027, 3, 9, 20, 4, 5, tzinfo=UTC)
WAVE = (tuple((i * 3.0, 40 + 30 * math.sin(i / 4)) for i in range(80)), ((10.0, 90.0), (200.0, 80.0)))


def document(html: str, **other: object) -> bytes:
    order = {"paper": "letter", "title": "Proposal", "language": "en", "identifier": "r3", "source_date": SIGNED_AT}
    return html_to_pdf(html, **(order | other))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def offered() -> bytes:
    drawing = drawing_image(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0h9"/></svg>', "Plan"
    )
    return document(
        f"<h1>A terrace and a fire</h1>{drawing}<p>By the <a href='#end'>door</a>.</p>"
        "<h2 style='page-break-before:always' id='end'>Palette</h2>"
    )


def signature(name: str = "Linnea Whitlock", **other: object) -> Signature:
    given = {
        "role": "client",
        "intent": "I agree to this proposal, its price and its terms.",
        "signed_at": SIGNED_AT,
        "time_zone": "America/New_York",
        "device": "touch laptop at the table",
        "strokes": WAVE,
    } | other
    return Signature(name=name, **given)  # type: ignore[arg-type]


def signing(*signatures: Signature, **other: object) -> Signing:
    return Signing(
        title="Proposal 3 for 27 Quarry Bend",
        firm="Brackenfold Yards",
        signatures=signatures or (signature(),),
        **other,  # type: ignore[arg-type]
    )


def picture(kind: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (40, 60), (200, 190, 170)).save(out, kind)
    return out.getvalue()


def words(pdf: bytes, tmp_path: Path) -> str:
    """The text of a PDF, read by Poppler where it is installed."""
    if not shutil.which("pdftotext"):
        return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages).split())
    (tmp_path / "it.pdf").write_bytes(pdf)
    done = subprocess.run(["pdftotext", tmp_path / "it.pdf", "-"], capture_output=True, text=True, check=True)
    assert not done.stderr
    return " ".join(done.stdout.split())


def elements(reader: pypdf.PdfReader) -> list[pypdf.generic.DictionaryObject]:
    found = []
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]["/K"]]
    while waiting:
        node = waiting.pop().get_object()
        if isinstance(node, list):
            waiting.extend(node)
        elif isinstance(node, dict) and "/S" in node:
            found.append(node)
            waiting.extend([node["/K"]] if "/K" in node else [])
    return found


def test_signed_copy_begins_with_the_offered_bytes_and_adds_one_update(offered: bytes) -> None:
    signed = signed_copy(offered, signing())
    assert signed[: len(offered)] == offered
    tail = signed[len(offered) :]
    assert tail.count(b"%%EOF") == tail.count(b"startxref") == 1
    assert faults_of_signed_copy(signed, offered) == ()


def test_added_page_prints_names_words_time_device_and_fingerprint(offered: bytes, tmp_path: Path) -> None:
    signed = signed_copy(
        offered, signing(signature(), waits_for=("Joss Whitlock",), notes=("Add the state’s notice.",))
    )
    text = words(signed, tmp_path)
    for wanted in (
        "Linnea Whitlock, client",
        "I agree to this proposal, its price and its terms.",
        "March 9, 2027, 3:04:05 PM EST (UTC-05:00, America/New_York), touch laptop at the table",
        "Waits for Joss Whitlock.",
        "Add the state’s notice.",
        "It is no digital seal.",
        sha256(offered).hexdigest(),
        f"first {len(offered):,} bytes",
    ):
        assert wanted in text


def test_drawn_signature_is_vector_with_alternative_text(offered: bytes) -> None:
    reader = pypdf.PdfReader(BytesIO(signed_copy(offered, signing())))
    assert not reader.pages[2].images
    figures = [e["/Alt"] for e in elements(reader) if e["/S"] == "/Figure"]
    assert sorted(figures) == ["Plan", "Signature of Linnea Whitlock, drawn by hand"]
    content = reader.pages[2].get_contents()
    assert content is not None
    curves = len(re.findall(rb"[\d.-]+ c\b", b"".join(o.get_data() for o in streams(reader))))
    assert curves > 70


def streams(reader: pypdf.PdfReader) -> list[pypdf.generic.StreamObject]:
    found = [reader.get_object(number) for number in range(1, int(reader.trailer["/Size"]))]
    return [o for o in found if isinstance(o, pypdf.generic.StreamObject)]


def test_structure_still_leads_from_every_page_to_its_elements(offered: bytes) -> None:
    reader = pypdf.PdfReader(BytesIO(signed_copy(offered, signing())))
    nums = reader.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    keys = [int(key) for key in nums[::2]]
    assert keys == sorted(set(keys))
    by_key = dict(zip(keys, nums[1::2], strict=True))
    for page in reader.pages:
        owners = by_key[int(page["/StructParents"])].get_object()
        assert owners
        assert {
            owner.get_object()["/Pg"].indirect_reference.idnum for owner in owners if "/Pg" in owner.get_object()
        } == {
            page.indirect_reference.idnum  # type: ignore[union-attr]
        }
    document_element = reader.trailer["/Root"]["/StructTreeRoot"]["/K"][0].get_object()
    added = document_element["/K"][-1].get_object()
    assert added["/S"] == "/Sect"
    assert added["/P"].indirect_reference == document_element.indirect_reference
    assert len(reader.trailer["/Root"]["/StructTreeRoot"]["/K"]) == 1


def test_bookmarks_go_on_to_the_signatures(offered: bytes) -> None:
    reader = pypdf.PdfReader(BytesIO(signed_copy(offered, signing())))
    last = reader.outline[-1]
    assert last.title == "Signatures"
    assert reader.get_destination_page_number(last) == 2


def test_other_readers_find_nothing_wrong(offered: bytes, tmp_path: Path) -> None:
    signed = signed_copy(offered, signing(scans=(Scan(content=document("<p>Paper</p>")), Scan(content=picture("PNG")))))
    with pikepdf.open(BytesIO(signed)) as opened:
        assert opened.check_pdf_syntax() == []
        assert len(opened.pages) == 5
    assert "Scan of the signed paper, sheet 1" in words(signed, tmp_path)
    if not shutil.which("pdfinfo"):
        return
    (tmp_path / "s.pdf").write_bytes(signed)
    info = subprocess.run(["pdfinfo", "-struct-text", tmp_path / "s.pdf"], capture_output=True, text=True, check=True)
    assert not info.stderr
    assert "Linnea Whitlock" in info.stdout


def test_second_signer_later_makes_the_one_update_anew(offered: bytes, tmp_path: Path) -> None:
    first = signed_copy(offered, signing(signature(), waits_for=("Joss Whitlock",)))
    both = signed_copy(offered, signing(signature(), signature("Joss Whitlock", device="phone, elsewhere")))
    assert both.startswith(offered)
    assert faults_of_signed_copy(both, offered) == ()
    text = words(both, tmp_path)
    assert text.count("I agree to this proposal") == 2
    assert "Waits for" not in text
    assert "Waits for" in words(first, tmp_path)


def test_paper_counts_when_its_scan_is_there(offered: bytes, tmp_path: Path) -> None:
    on_paper = signature(strokes=(), on_paper=True)
    with pytest.raises(BadValue, match="needs the scan"):
        signed_copy(offered, signing(on_paper))
    signed = signed_copy(
        offered, signing(on_paper, scans=(Scan(content=picture("JPEG"), caption="signed at the gate"),))
    )
    text = words(signed, tmp_path)
    assert "Signed on paper" in text
    assert "signed at the gate" in text
    assert faults_of_signed_copy(signed, offered) == ()


def test_scan_that_acts_or_links_is_only_drawn(offered: bytes) -> None:
    scan = pikepdf.open(BytesIO(document("<p><a href='https://example.org/'>Paper</a></p>", paper="a4")))
    scan.pages[0].obj["/AA"] = pikepdf.Dictionary(O=pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)"))
    held = BytesIO()
    scan.save(held)
    signed = signed_copy(offered, signing(scans=(Scan(content=held.getvalue()),)))
    page = pypdf.PdfReader(BytesIO(signed)).pages[-1]
    assert not {"/AA", "/Annots", "/StructParents"} & set(page)
    assert round(page.mediabox.width) == 595
    assert "Paper" in page.extract_text()
    assert b"JavaScript" not in signed
    assert b"example.org" not in signed


def test_scan_that_is_locked_broken_or_too_long_is_refused_in_a_sentence(offered: bytes) -> None:
    locked, long = BytesIO(), BytesIO()
    pikepdf.open(BytesIO(offered)).save(locked, encryption=pikepdf.Encryption(owner="a", user="b"))
    many = pikepdf.new()
    for _ in range(41):
        many.add_blank_page()
    many.save(long)
    for content, sentence in (
        (locked.getvalue(), "locked with a password"),
        (long.getvalue(), "has 41 pages"),
        (b"%PDF-1.7\nnothing", "not a PDF that can be read"),
        (b"GIF89a", "must be a PDF, PNG or JPEG"),
    ):
        with pytest.raises(BadValue, match=sentence):
            signed_copy(offered, signing(scans=(Scan(content=content),)))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": " "}, "Type the name"),
        ({"intent": ""}, "words that are agreed to"),
        ({"strokes": ()}, "The signature is empty"),
        ({"strokes": (((5.0, 5.0),),)}, "only a dot"),
        ({"strokes": (((5.0, math.nan), (9.0, 9.0)),)}, "could not be read"),
        ({"strokes": (tuple((float(i), 0.0) for i in range(20_001)),)}, "could not be read"),
        ({"signed_at": datetime(2027, 3, 9)}, "no time zone"),  # noqa: DTZ001
        ({"time_zone": "Mars/Olympus"}, "no time zone we know"),
        ({"time_zone": "../../etc/passwd"}, "no time zone we know"),
        ({"picture": b"<svg onload=x>"}, "PNG or JPEG"),
        ({"device": "x" * 501}, "longer than 500"),
    ],
)
def test_signature_that_lacks_something_is_refused_in_a_sentence(
    change: dict[str, object], sentence: str, offered: bytes
) -> None:
    with pytest.raises(BadValue, match=sentence):
        signed_copy(offered, signing(dataclasses.replace(signature(), **change)))  # type: ignore[arg-type]


def test_nobody_signed_and_no_pdf_are_refused() -> None:
    nobody = dataclasses.replace(signing(), signatures=())
    with pytest.raises(BadValue, match="Nobody has signed"):
        signed_copy(b"", nobody)
    with pytest.raises(BadValue, match="offered document is not a PDF"):
        signed_copy(b"Hello", signing())


def test_words_of_a_signer_stay_words(offered: bytes, tmp_path: Path) -> None:
    name = '<img src=x>"}; @import url(http://127.0.0.1:9/) {{ 7*7 }}'
    signed = signed_copy(offered, dataclasses.replace(signing(signature(name)), title=name))
    text = words(signed, tmp_path)
    assert text.count(name) == 3
    assert "Signatures to " + name in text


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_picture_of_a_signature_is_accepted(kind: str, offered: bytes) -> None:
    signed = signed_copy(offered, signing(signature(strokes=(), picture=picture(kind))))
    assert len(pypdf.PdfReader(BytesIO(signed)).pages[2].images) == 1


def test_untagged_document_without_bookmarks_is_signed_too() -> None:
    blank = pikepdf.new()
    blank.add_blank_page()
    held = BytesIO()
    blank.save(held, min_version="1.7")
    signed = signed_copy(held.getvalue(), signing())
    assert faults_of_signed_copy(signed, held.getvalue()) == ()


def test_signing_again_gives_the_same_bytes(offered: bytes) -> None:
    scans = (Scan(content=document("<p>Paper</p>")),)
    assert signed_copy(offered, signing(scans=scans)) == signed_copy(offered, signing(scans=scans))


def test_document_with_pages_of_terms_is_signed_after_them(offered: bytes) -> None:
    with_terms = append_drawn_pages(offered, [("Terms", document("<p>Terms</p>"))])
    signed = signed_copy(with_terms, signing())
    assert faults_of_signed_copy(signed, with_terms) == ()
    reader = pypdf.PdfReader(BytesIO(signed))
    assert "Terms" in reader.pages[2].extract_text()
    assert reader.outline[-1].title == "Signatures"
    assert "the 3 pages before this one" in " ".join(reader.pages[3].extract_text().split())


def test_worker_makes_the_signed_copy(offered: bytes) -> None:
    signed = run_now("sign", sign_payload(offered, signing(signature(), scans=(Scan(content=picture("PNG")),))))
    assert faults_of_signed_copy(signed, offered) == ()


def test_verifying_finds_each_way_of_tampering(offered: bytes) -> None:
    signed = signed_copy(offered, signing())
    other = document("<h1>Another price</h1>", identifier="r4")
    assert "does not begin" in faults_of_signed_copy(signed, other)[0]
    assert "does not begin" in faults_of_signed_copy(b"x" + signed, offered)[0]
    assert "holds no signatures" in faults_of_signed_copy(offered, offered)[0]
    assert faults_of_signed_copy(offered + b"garbage", offered)
    twice = signed_copy(signed, signing())
    assert any("More than one update" in fault for fault in faults_of_signed_copy(twice, offered))
    assert any("after the end" in fault for fault in faults_of_signed_copy(signed + b"more", offered))
    digest = sha256(offered).hexdigest()
    assert digest not in signed.decode("latin-1")  # it stands in a compressed page
    changed = rewritten_first_page(offered)
    faults = " ".join(faults_of_signed_copy(changed, offered))
    assert "changed more of the offered document" in faults
    assert "do not print the fingerprint" in faults


def test_pages_put_in_another_order_are_found(offered: bytes) -> None:
    from pyhanko.pdf_utils.generic import ArrayObject, pdf_name
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(BytesIO(offered))
    tree = writer.root["/Pages"]
    kids = [tree["/Kids"].raw_get(number) for number in range(2)]
    tree[pdf_name("/Kids")] = ArrayObject(reversed(kids))
    writer.update_container(tree)
    out = BytesIO()
    writer.write(out)
    assert any("in their order" in fault for fault in faults_of_signed_copy(out.getvalue(), offered))


def test_nothing_of_the_added_page_comes_along_but_the_page(offered: bytes) -> None:
    scans = (Scan(content=document("<p>Paper</p>")),)
    reader = pypdf.PdfReader(BytesIO(signed_copy(offered, signing(scans=scans))))
    held = [reader.get_object(number) for number in range(1, int(reader.trailer["/Size"]))]
    kinds = [o["/Type"] for o in held if isinstance(o, dict) and "/Type" in o]
    assert [kinds.count(kind) for kind in ("/Catalog", "/Pages", "/StructTreeRoot", "/Page")] == [1, 1, 1, 4]


def rewritten_first_page(offered: bytes) -> bytes:
    """The offered document with an update that empties its first page."""
    from pyhanko.pdf_utils.generic import StreamObject, pdf_name
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(BytesIO(offered))
    reference, _ = writer.find_page_for_modification(0)
    reference.get_object()[pdf_name("/Contents")] = writer.add_object(StreamObject(stream_data=b""))
    writer.mark_update(reference)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("zone", "words_there"),
    [
        ("America/New_York", "March 14, 2027, 3:30:00 AM EDT (UTC-04:00, America/New_York)"),  # after the clocks change
        ("America/Phoenix", "March 14, 2027, 12:30:00 AM MST (UTC-07:00, America/Phoenix)"),
    ],
)
def test_moment_is_printed_with_its_zone(zone: str, words_there: str) -> None:
    assert moment_in_words(datetime(2027, 3, 14, 7, 30, tzinfo=UTC), zone) == words_there


def test_strokes_are_cropped_to_what_was_drawn() -> None:
    svg = strokes_svg((((100.0, 50.0), (140.0, 70.0)), ((120.0, 60.0),)))
    assert 'viewBox="97.8 47.8 44.4 24.4"' in svg
    assert 'd="M100.0 50.0L140.0 70.0 M120.0 60.0h.1"' in svg
