"""The rows of OWASP ASVS 5.0.0 that stand in `asvs.toml`: each has its test, its reason, or says what still lacks.

Source: OWASP Application Security Verification Standard 5.0.0 (CC BY-SA 4.0): 70 rows of level 1, 183 of level 2.
"""

import ast
import logging
import re
import ssl
import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache, lru_cache
from pathlib import Path
from uuid import UUID

import pytest
from sqlalchemy import func, select

from app.db.repositories import record
from app.db.tables.office import RECORD
from app.domain.sharing import SharedName
from app.main import create_app
from app.services import authority
from app.services.office import Office
from app.web.listening import config_beside
from tests.web.conftest import Browser
from tests.web.test_every_page import filled, known_words, paths

ROOT = Path(__file__).parents[2]
ROWS = tomllib.loads((Path(__file__).parent / "asvs.toml").read_text())["rows"]
STATED = {"test", "not_because", "open"}
OPEN_AT_MOST = 0  # what is built and lacks one says so, and mends it
OWN_SCRIPTS = [one for one in sorted((ROOT / "static" / "js").rglob("*.js")) if "built" not in one.parts]


@lru_cache(maxsize=1)
@cache
def trees() -> list[tuple[str, ast.Module]]:
    files = sorted((ROOT / "app").rglob("*.py"))
    return [(str(file.relative_to(ROOT)), ast.parse(file.read_text())) for file in files]


def imported(tree: ast.Module) -> set[str]:
    """Every module that is imported, and every name of one."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
    return found


def called(node: ast.Call) -> str:
    return ast.unparse(node.func)


@pytest.fixture
def here(stocked: Office, ready: UUID) -> Iterator[Browser]:
    opened = Browser(stocked)
    with opened.client:
        yield opened


def test_all_rows_of_levels_one_and_two_stand_here():
    assert Counter(row["level"] for row in ROWS.values()) == {1: 70, 2: 183, 3: 4}


@pytest.mark.parametrize("number", ROWS)
def test_row_has_its_test_its_reason_or_what_lacks(number: str):
    row = ROWS[number]
    stated = STATED & row.keys()
    assert len(stated) == 1
    assert row["about"]
    assert row[stated.pop()]


@pytest.mark.parametrize("named", sorted({row["test"] for row in ROWS.values() if "test" in row}))
def test_test_that_a_row_names_is_there(named: str):
    file, _, name = named.partition("::")
    assert re.search(rf"^(async )?def {name}\(", (ROOT / file).read_text(), re.MULTILINE), named


def test_what_lacks_does_not_grow():
    assert sum("open" in row for row in ROWS.values()) <= OPEN_AT_MOST


def is_constant(node: ast.expr) -> bool:
    """Whether it is the name of a constant of the module."""
    return isinstance(node, ast.Name) and node.id.isupper()


def test_no_statement_is_put_together_from_text():
    """Statements are built by the library; text is of constants, or one of our own words behind PRAGMA."""
    found = []
    for file, tree in trees():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or not called(node).endswith((".execute", ".exec_driver_sql", "text")):
                continue
            first = node.args[0] if node.args else None
            made = isinstance(first, ast.BinOp) or (
                isinstance(first, ast.JoinedStr)
                and not ast.unparse(first).startswith("f'PRAGMA ")
                and not all(is_constant(one.value) for one in first.values if isinstance(one, ast.FormattedValue))
            )
            if made and file.startswith("app/db"):
                found.append(f"{file}:{node.lineno}")
    assert found == []


def test_no_command_goes_through_a_shell_and_nothing_is_unpickled():
    found = []
    for file, tree in trees():
        found += [f"{file}: {name}" for name in imported(tree) & {"pickle", "marshal", "shelve", "yaml", "dill"}]
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                shell = any(one.arg == "shell" for one in node.keywords)
                run = called(node) in {"os.system", "os.popen", "eval", "exec", "asyncio.create_subprocess_shell"}
                if shell or run:
                    found.append(f"{file}: {called(node)}")
    # what is evaluated there is written from a tree of which every node was checked
    assert found == ["app/domain/takeoff/formula.py: eval"]


def test_no_script_of_ours_writes_markup_of_its_own():
    """Markup comes from the server, swapped in by the library; what scripts add is text or made element by element."""
    writes = re.compile(
        r"\.(inner|outer)HTML\s*=|insertAdjacentHTML|document\.write|new Function|\beval\(|window\.addEventListener\('message'"
        r"|__proto__|createContextualFragment"
    )
    assert OWN_SCRIPTS
    hits = [one.name for one in OWN_SCRIPTS if writes.search(one.read_text())]
    assert hits == []


def test_nothing_of_ours_asks_another_server():
    """The command line asks its own server, sharing knocks at its own door, and letters go to the firm's mail server."""
    asking = {"urllib.request", "http.client", "httpx", "httpx2", "aiohttp", "requests", "ftplib", "smtplib", "socket"}
    allowed = {
        "app/commands/serve.py",  # is the port free
        "app/commands/through_server.py",  # the server of this machine
        "app/interchange/mail_out.py",  # the firm's own mail server, typed by the owner
        "app/services/networks.py",  # which networks there are
        "app/web/announcing.py",  # the name on the local network
        "app/web/listening.py",
    }
    found = {file for file, tree in trees() if imported(tree) & asking}
    assert found <= allowed


def test_every_answer_says_what_it_is_and_is_not_kept_where_it_is_ours(here: Browser, stocked: Office, ready: UUID):
    known = known_words(stocked, ready)
    wrong = []
    for path in paths(stocked, changing=False):
        answer = here.get(filled(path, known), follow_redirects=False)
        kind, kept = answer.headers.get("content-type", ""), answer.headers.get("cache-control", "")
        if answer.content and not kind:
            wrong.append(f"{path}: no type")
        if kind.startswith("text/") and "charset=utf-8" not in kind:
            wrong.append(f"{path}: no letters")
        if answer.headers.get("x-content-type-options") != "nosniff" or "referrer-policy" not in answer.headers:
            wrong.append(f"{path}: headers")
        if "access-control-allow-origin" in answer.headers:
            wrong.append(f"{path}: readable from elsewhere")
        if kind.startswith("text/html") and answer.status_code == 200 and "no-store" not in kept:
            wrong.append(f"{path}: kept")
        if not re.fullmatch(
            r"|(inline|attachment)(; filename=\"[ -~]*\")?(; filename\*=UTF-8''[!-~]*)?",
            answer.headers.get("content-disposition", ""),
        ):
            wrong.append(f"{path}: {answer.headers['content-disposition']}")
        if here.token in answer.headers.get("location", ""):
            wrong.append(f"{path}: token in the address")
    assert wrong == []


def test_no_reading_address_changes_the_record(here: Browser, stocked: Office, ready: UUID):
    def head() -> tuple[int, str]:
        with stocked.database.read() as connection:
            return connection.execute(select(func.count()).select_from(RECORD)).scalar_one(), record.head(connection)

    known, before = known_words(stocked, ready), head()
    for path in paths(stocked, changing=False):
        here.get(filled(path, known), follow_redirects=False)
    assert head() == before


@pytest.mark.parametrize("method", ["TRACE", "PUT", "DELETE", "PATCH", "CONNECT", "PROPFIND"])
def test_only_methods_that_are_named_are_answered(web: Browser, method: str):
    for path in ("/", "/jobs", "/prices"):
        answer = web.client.request(method, path)
        assert answer.status_code in {403, 405}, path
        assert "TRACE" not in answer.text


@pytest.mark.parametrize(
    "path", ["/docs", "/redoc", "/openapi.json", "/metrics", "/.git/config", "/built/", "/static/"]
)
def test_no_page_of_the_framework_is_served(web: Browser, path: str):
    assert web.get(path).status_code == 404


def test_no_broken_hash_and_no_weak_chance_is_used():
    weak = {"hashlib.md5", "hashlib.sha1", "md5", "random", "random.Random", "Crypto", "uuid.uuid1"}
    found = {file: names for file, tree in trees() if (names := imported(tree) & weak)}
    assert found == {}
    for file, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                assert called(node) not in {"hashlib.md5", "hashlib.sha1", "hashlib.new"}, file
            if isinstance(node, ast.Attribute) and node.attr in {"ECB", "PKCS1v15"}:
                pytest.fail(f"{file}: {node.attr}")


def test_only_tls_1_2_and_newer_is_spoken_with_forward_secrecy(office: Office):
    called = SharedName(name="brackenfold.local", secure_port=8138, plain_port=8139)
    files = authority.serving(office, called, "192.168.43.7")
    config = config_beside(create_app(office), files, 1)
    config.load()
    spoken = config.ssl
    assert spoken is not None
    assert spoken.minimum_version >= ssl.TLSVersion.TLSv1_2
    suites = [one["name"] for one in spoken.get_ciphers()]
    assert suites
    assert [name for name in suites if not name.startswith(("TLS_", "ECDHE-"))] == []
    assert [name for name in suites if "GCM" not in name and "CHACHA20" not in name] == []


def test_an_unforeseen_error_is_a_sentence_without_a_trace(
    web: Browser, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
):
    def breaks(*_all, **_named):
        raise RuntimeError("kept at /somewhere/secret")

    monkeypatch.setattr("app.web.routes.home.home", breaks)
    with caplog.at_level(logging.ERROR, logger="outlay"):
        answer = web.get("/?later=1")
    assert answer.status_code == 500
    assert "Something in the program went wrong" in answer.text
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert "kept at /somewhere/secret" in caplog.text


def test_no_log_line_names_what_a_client_typed(web: Browser, caplog: pytest.LogCaptureFixture):
    with caplog.at_level(logging.DEBUG):
        web.post("/jobs", {"name": "Marked\r\nForged line", "change_id": "not one"})
        web.get("/jobs/none%0d%0aForged")
    assert "Marked" not in caplog.text
    assert "\r" not in caplog.text
    assert not [line for line in caplog.text.splitlines() if line.startswith("Forged")]


def test_every_dependency_is_locked_with_its_hash():
    for name in ("requirements.lock", "requirements-dev.lock"):
        pinned = [one for one in (ROOT / name).read_text().split("\n") if re.match(r"[a-z0-9]", one)]
        assert len(pinned) > 10
        assert [one for one in pinned if "==" not in one] == []
        text = (ROOT / name).read_text()
        assert text.count("--hash=sha256:") >= len(pinned)
        assert "://" not in text
    assert '"integrity": "sha512-' in (ROOT / "package-lock.json").read_text()
