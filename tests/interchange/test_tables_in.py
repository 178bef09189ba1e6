"""Price lists as files: read by what they are; hostile and broken ones end in a sentence, in bounded time and memory."""

import zipfile
from datetime import date
from io import BytesIO

import msgspec
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue, OutlayError
from app.domain.pricebook import Book, Table, dry_run, proposed_reading
from app.interchange.cells_out import as_written, safe_cell
from app.interchange.price_lists_in import answer_of, list_payload
from app.interchange.tables_in import MOST_ROWS, read_table
from app.worker import run_now

ROWS = [["Code", "Description", "Unit", "Price", "Date"], ["AF-1", "Clay paver", "each", 0.86, date(2027, 3, 1)]]
CSV = b"Code,Description,Unit,Price\r\nAF-1,Clay paver,each,0.86\r\n"


def workbook(rows: list[list], *, name: str = "Prices") -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = name
    for row in rows:
        sheet.append(row)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(content: bytes, part: str, change) -> bytes:
    """The workbook with one part written anew."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name == part else old.read(name))
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"


def test_workbook_is_read_as_text_with_days_and_figures() -> None:
    table = read_table(workbook(ROWS))
    assert table.headings == ("Code", "Description", "Unit", "Price", "Date")
    assert table.lines[0].cells == ("AF-1", "Clay paver", "each", "0.86", "2027-03-01")


def test_the_worker_reads_what_is_read_here() -> None:
    heard: list[str] = []
    payload = list_payload(workbook(ROWS), None, Book())
    found = answer_of(run_now("price list", payload, progress=lambda _share, words: heard.append(words)))
    assert found.table == read_table(workbook(ROWS))
    assert found.reading == proposed_reading(found.table)
    assert found.run == dry_run(found.table, found.reading, Book())
    assert heard
    again = answer_of(run_now("price list", list_payload(found.table, found.reading, Book())))
    assert again.run == found.run


def test_file_is_read_by_its_content_and_not_by_a_name() -> None:
    assert (
        read_table(CSV).headings
        == read_table(workbook([["Code", "Description", "Unit", "Price"], ["a", "b", "c", 1]])).headings
    )


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_text_is_read_in_its_delimiter_and_letters(delimiter: str, encoding: str) -> None:
    text = (
        delimiter.join(("Code", "Description", "Price"))
        + "\n"
        + delimiter.join(("AF-1", "Pavé, 2′ wide" if delimiter != "," else "Pavé 2 in", "4.20"))
    )
    text = text.replace("′", "'")
    table = read_table(text.encode(encoding))
    assert table.lines[0].cells[1].startswith("Pavé")
    assert len(table.lines[0].cells) == 3
    assert bool(table.notes) == (encoding == "cp1252")


def test_formulas_give_their_kept_value_and_are_never_worked_out() -> None:
    content = workbook([["Code", "Description", "Price"], ["AF-1", "Clay paver", "=1+1"], ["AF-2", "Stone", 4]])
    assert read_table(content).lines[0].cells == ("AF-1", "Clay paver")  # no program has worked it out yet
    kept = with_part(
        content,
        SHEET,
        lambda part: part.replace(b"<v></v>", b"<v>2</v>").replace(b"<v />", b"<v>2</v>").replace(b"<v/>", b"<v>2</v>"),
    )
    assert read_table(kept).lines[0].cells[-1] == "2"


BOMB = (
    b"<?xml version='1.0'?><!DOCTYPE b [<!ENTITY a 'zzzzzzzzzz'>"
    + b"".join(
        f"<!ENTITY a{n} '{'&a' + (str(n - 1) if n else '') + ';'}{'&a' + (str(n - 1) if n else '') + ';'}'>".encode()
        for n in range(30)
    )
    + b"]><worksheet><sheetData><row r='1'><c r='A1' t='str'><v>&a29;</v></c></row></sheetData></worksheet>"
)
OUTSIDE = b"<?xml version='1.0'?><!DOCTYPE b [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><worksheet><sheetData><row r='1'><c r='A1' t='str'><v>&x;</v></c></row></sheetData></worksheet>"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b" \r\n ", "empty"),
        (b"Code,Price\r\n", "no rows"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old kind"),
        (b"<html><table><tr><td>4</td></tr></table>", "web page"),
        (b"\x00\x01\x02\x03" * 50, "no text and no workbook"),
        (b"\x81\x8d\x8f,x\n1,2\n", "letters cannot be read"),
        (b'Code,Price\n"open,4\nA,5\n', "quotation mark"),
        (b"PK\x03\x04 and nothing more", "broken"),
        (workbook(ROWS)[:-400], "broken"),
        (b"x" * 12_000_001, "MB"),
        (b"Code,Price\n" + b"A,1\n" * (MOST_ROWS + 1), "more than"),
        (b"Code,Price\n" + b"A," * 80 + b"x\n", "cells"),
        (b"Code,Price\n" + b"A" * 5_000 + b",1\n", "characters"),
        (with_part(workbook(ROWS), SHEET, lambda _part: BOMB), "broken"),
        (with_part(workbook(ROWS), SHEET, lambda _part: OUTSIDE), "broken"),
        (with_part(workbook(ROWS), SHEET, lambda part: part + b" " * 130_000_000), "unpacks to"),
        (with_part(workbook(ROWS), SHEET, lambda part: part.replace(b'<row r="2"', b'<row r="90000000"')), "rows"),
        (with_part(workbook(ROWS), "[Content_Types].xml", lambda _part: b"<a/>"), "broken"),
        (with_part(workbook(ROWS), "xl/workbook.xml", lambda _part: b"<not closed"), "broken"),
    ],
)  # fmt: skip
def test_hostile_or_broken_file_ends_in_a_sentence(content: bytes, said: str) -> None:
    with pytest.raises(BadValue, match=said) as refused:
        read_table(content)
    assert refused.value.sentence.endswith(".")
    assert refused.value.field in {"file", ""}


def test_packed_folder_is_no_workbook() -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("prices.csv", CSV)
    with pytest.raises(BadValue, match="packed folder"):
        read_table(out.getvalue())


def test_hostile_file_is_refused_by_the_worker_in_the_same_words() -> None:
    with pytest.raises(OutlayError, match="broken"):
        run_now("price list", list_payload(with_part(workbook(ROWS), SHEET, lambda _part: BOMB), None, Book()))


@given(st.binary(max_size=400))
@settings(max_examples=100)
def test_any_bytes_are_a_table_or_a_sentence(content: bytes) -> None:
    for tried in (content, b"PK\x03\x04" + content):
        try:
            found = read_table(tried)
        except BadValue as wrong:
            assert wrong.sentence  # noqa: PT017 - either is right
        else:
            assert msgspec.json.decode(msgspec.json.encode(found), type=Table) == found


@given(st.text(max_size=20))
@settings(max_examples=100)
def test_text_that_would_run_comes_back_as_it_was(text: str) -> None:
    written = safe_cell(text)
    assert not str(written).startswith(("=", "+", "-", "@", "\t", "\r", "\n", "＝"))
    assert as_written(str(written)) == text


@pytest.mark.parametrize("part", [BOMB, OUTSIDE])
def test_entities_are_refused_before_they_are_expanded(part: bytes) -> None:
    with pytest.raises(BadValue) as refused:
        read_table(with_part(workbook(ROWS), SHEET, lambda _part: part))
    met = []
    wrong: BaseException | None = refused.value
    while wrong is not None:
        met.append(type(wrong).__name__)
        wrong = wrong.__cause__ or wrong.__context__
    assert "EntitiesForbidden" in met
