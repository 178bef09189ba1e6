"""`docs/security.md` says what the code does: ways in for a file with their limits, keys, algorithms, events of the log."""

import ast
import inspect
import re
from functools import cache
from pathlib import Path

import pytest

from app.commands import log_lines
from app.config import SERVER
from app.db.key_folder import KeyFolder
from app.domain.basis import Firm
from app.domain.sharing import SharedName
from app.interchange import drawn_shapes_in, job_bundle, job_file, pictures, sealed_keys, tables_in
from app.services import authority, sub_papers
from app.services.office import Office
from app.web import refusals, sizes
from app.web.forms import signing
from app.worker import passcodes
from tests.security.test_asvs import called, trees
from tests.web.test_access import routes

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "security.md").read_text()
UPLOAD = "UploadFile"


def rows(heading: str) -> list[list[str]]:
    """The rows of the first table below a heading."""
    part = PAGE.partition(f"## {heading}\n")[2].partition("\n## ")[0]
    lines = [line.strip("|").split("|") for line in part.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in cells] for cells in lines[2:]]


def named(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


@cache
def shared_readers() -> set[str]:
    """Functions that modules of the pages share and that read a file which was sent, or hand it to one that does."""
    held: dict[str, set[str]] = {}
    found = {UPLOAD}
    for file, tree in trees():
        for one in tree.body if file.startswith("app/web") else ():
            if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef) and not one.name.startswith("_"):
                names = {node.id for node in ast.walk(one) if isinstance(node, ast.Name)}
                found |= {one.name} if UPLOAD in names or UPLOAD in ast.unparse(one) else set()
                held |= {} if file.startswith("app/web/routes") else {one.name: names}
    while more := {name for name, names in held.items() if names & found} - found:
        found |= more
    return found - {UPLOAD}


@cache
def module_of(file: Path) -> ast.Module:
    return ast.parse(file.read_text())


def takes_a_file(endpoint: object) -> bool:
    """Whether a handler, or a function of its module that it calls, reads a file that was sent."""
    module = module_of(Path(inspect.getfile(endpoint)))  # type: ignore[arg-type]
    functions = {one.name: one for one in module.body if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef)}
    reading = {UPLOAD, *shared_readers()}
    shared = {
        name.name
        for one in module.body
        if isinstance(one, ast.ImportFrom) and one.module == "app.web"
        for name in one.names
    }
    seen, left = set[str](), [endpoint.__name__]  # type: ignore[attr-defined]
    while left:
        name = left.pop()
        if name in seen or name not in functions:
            continue
        seen.add(name)
        for node in ast.walk(functions[name]):
            if isinstance(node, ast.Name) and node.id in reading:
                return True
            if isinstance(node, ast.Attribute) and node.attr in reading and ast.unparse(node.value) in shared:
                return True
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "request.body":
                return True
            if isinstance(node, ast.Name):
                left.append(node.id)
    return False


def test_every_address_that_takes_a_file_stands_there_with_its_limit(office: Office) -> None:
    told = {address for row in rows("What may be sent to it") for address in named(row[0])}
    taking = {one.path for one in routes(office) if "POST" in one.methods and takes_a_file(one.endpoint)}
    assert len(taking) > 10
    assert told == taking


@pytest.mark.parametrize(
    ("address", "limits"),
    [
        ("/firm/mark", (f"{pictures.MOST_BYTES // 10**6} MB", f"{pictures.MOST_PIXELS // 10**6} megapixels")),
        ("/firm/terms", (f"{pictures.MOST_BYTES // 10**6} MB", f"{pictures.MOST_PAGES} pages")),
        ("/subcontractors/{key}/papers", (f"{sub_papers.MOST_BYTES // 10**6} MB",)),
        ("/show/{job_id}/sign/{revision_id}", (f"{sizes.BODY_LIMIT // 10**6} MB", f"{signing.MOST_POINTS:,} points")),
        ("/prices/list", (f"{tables_in.LARGEST // 10**6} MB", f"{tables_in.MOST_ROWS:,} rows")),
        ("/jobs/{job_id}/plan/bring-in", (f"{drawn_shapes_in.LARGEST // 10**6} MB",)),
        (
            "/jobs/open-file",
            (f"{job_file.MOST_BYTES // 10**6} MB", f"{job_bundle.MOST_FILES} files", f"{job_bundle.MOST_TOTAL_BYTES // 10**6} MB unpacked", f"{sizes.JOB_LIMIT // 10**6} MB"),
        ),
    ],
)  # fmt: skip
def test_limits_are_those_of_the_code(address: str, limits: tuple[str, ...]) -> None:
    row = next(row for row in rows("What may be sent to it") if address in named(row[0]))
    assert [one for one in limits if one not in row[2]] == []


def test_kinds_of_pictures_are_those_that_are_read() -> None:
    row = next(row for row in rows("What may be sent to it") if "/firm/mark" in named(row[0]))
    assert {one.strip().upper() for one in row[1].split(",")} == set(pictures.READ)


def test_every_secret_file_stands_there(office: Office) -> None:
    told = {name for row in rows("Secrets and keys") for name in named(row[1])}
    office.settings.secret()
    authority.serving(office, SharedName(name="a.local", secure_port=1, plain_port=2), "192.168.43.7")
    keys = {f"{authority.KEYS}/{one.name}" for one in KeyFolder(office.settings.data / authority.KEYS).folder.iterdir()}
    assert keys
    assert {"secret", SERVER, *keys} <= told
    private = [one for one in office.settings.data.rglob("*.key") if one.stat().st_mode & 0o077]
    assert private == []


def test_every_algorithm_that_is_imported_stands_in_the_inventory() -> None:
    """What comes from `cryptography` or `hashlib` is one of those named, in a file or folder that is named."""
    table = rows("Cryptography")
    words, places = " ".join(row[1] for row in table), {name for row in table for name in named(row[2])}
    known = {"sha256": "SHA-256", "scrypt": "scrypt", "Scrypt": "scrypt", "AESGCM": "AES-256-GCM", "ec": "ECDSA"}
    for file, tree in trees():
        for node in ast.walk(tree):
            if not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith(
                ("cryptography.hazmat", "hashlib")
            ):
                continue
            for one in node.names:
                if one.name in known:
                    assert known[one.name] in words, (file, one.name)
                if node.module != "hashlib":
                    assert file.removeprefix("app/") in places, file
                    assert one.name in {*known, "hashes", "serialization"}, (file, one.name)


def test_costs_are_those_of_the_code() -> None:
    row = next(row for row in rows("Cryptography") if row[0] == "passcode")
    cost = passcodes.COST
    assert f"N 2^{cost['n'].bit_length() - 1}, r {cost['r']}, p {cost['p']}" in row[1]
    assert tuple(cost.values()) == (sealed_keys.N, sealed_keys.R, sealed_keys.P)
    assert f"({Firm().unseen_days} unless changed)" in PAGE


def test_every_event_of_the_log_stands_there() -> None:
    told = {name for row in rows("What is logged") for name in named(row[0])}
    logged = set()
    for file, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and called(node) in {"log.warning", "log.error", "log.exception"}:
                words = node.args[0]
                assert isinstance(words, ast.Constant), f"{file}: what is logged is a constant, without what was typed"
                if (len(node.keywords) and any(one.arg == "extra" for one in node.keywords)) or "wrong" in str(
                    words.value
                ):
                    logged.add(words.value)
    assert told >= logged >= {"refused", "wrong passcode", "unexpected error"}
    assert f"{log_lines.FOLDER}/{log_lines.NAME}" in PAGE
    assert log_lines.FILES == 5
    assert log_lines.MOST_BYTES == 10**6
    assert {401, 403, 413, 421, 429} <= set(refusals.WHY)


def test_how_soon_libraries_are_mended_is_said_in_days() -> None:
    part = PAGE.partition("## Libraries\n")[2].partition("\n## ")[0]
    assert re.findall(r"\*\*(\d+) days\*\*", part) == ["2", "14", "90"]
