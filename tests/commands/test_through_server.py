"""Commands while the pages are served: the server does them, or a sentence says why not."""

import json
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from uuid import uuid4

import pytest

from app.commands import through_server
from app.commands.through_server import ask_server
from app.config import Settings
from app.domain.errors import Refused
from app.services import job_files
from app.services.office import Office
from tests.commands.test_commands import run  # noqa: F401 a fixture
from tests.served import free_port, serving
from tests.services.yard_of_ours import priced, with_library, yard


@pytest.fixture
def settings(office: Office) -> Settings:
    office.settings.secret()
    return office.settings


@contextmanager
def answering(status: int, body: bytes, *, slowly: threading.Event | None = None) -> Iterator[str]:
    """Another server that gives one answer to everything; with an event, none before it is set."""

    class Answer(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            if slowly:
                slowly.wait()
                return
            self.rfile.read(int(self.headers["content-length"]))
            self.send_response(status)
            self.send_header("content-length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Quiet."""

    server = HTTPServer(("127.0.0.1", 0), Answer)
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        if slowly:
            slowly.set()
        server.shutdown()
        thread.join()
        server.server_close()


def test_import_goes_through_the_running_server_and_is_on_its_pages_at_once(office, tmp_path, run):  # noqa: F811
    priced(with_library(office), "base-stone-34")
    (tmp_path / "job.zip").write_bytes(job_files.export_job(office, yard(office)))
    with serving(tmp_path / "served") as server:
        code, said, wrong = run("--data", server.data, "import", tmp_path / "job.zip", "--json")
        assert (code, wrong) == (0, "")
        made = json.loads(said)["job"]
        page = urllib.request.urlopen(f"{server.address}/jobs/{made}/plan").read().decode()
        assert "Dining terrace" in page
        (tmp_path / "other.json").write_text("{}")
        code, _, wrong = run("--data", server.data, "import", tmp_path / "other.json")
        assert (code, wrong.startswith("This is not a job file")) == (2, True)
        code, said, _ = run("--data", server.data, "verify", "--json")
        assert (code, json.loads(said)) == (0, {"faults": [], "erased_entries": 0})


@pytest.mark.sqlite_file("on a server of databases a command writes beside the pages and asks nobody")
def test_command_without_the_secret_is_refused(office, tmp_path, run):  # noqa: F811
    priced(with_library(office), "base-stone-34")
    (tmp_path / "job.zip").write_bytes(job_files.export_job(office, yard(office)))
    with serving(tmp_path / "served") as server:
        (server.data / "secret").unlink()
        code, _, wrong = run("--data", server.data, "import", tmp_path / "job.zip")
        assert code == 2
        assert "secret is missing" in wrong


def test_secret_open_to_others_is_refused(settings):
    (settings.data / "secret").chmod(0o644)
    with pytest.raises(Refused, match="chmod 600"):
        ask_server(settings, "http://127.0.0.1:1", "import", b"", uuid4())


def test_server_that_is_starting_or_stopping_is_a_sentence(settings):
    with pytest.raises(Refused, match="starting or stopping"):
        ask_server(settings, f"http://127.0.0.1:{free_port()}", "import", b"", uuid4())


def test_busy_server_is_a_sentence(settings):
    with answering(503, b"Service Unavailable") as address, pytest.raises(Refused, match="busy"):
        ask_server(settings, address, "import", b"x", uuid4())


def test_server_of_another_release_is_a_sentence(settings):
    with answering(404, b"<html>") as address, pytest.raises(Refused, match="cannot do this"):
        ask_server(settings, address, "import", b"x", uuid4())


def test_refusal_of_the_server_is_its_own_sentence(settings):
    body = json.dumps({"sentence": "This is not a job file."}).encode()
    with answering(422, body) as address, pytest.raises(Refused, match=r"^This is not a job file\.$"):
        ask_server(settings, address, "import", b"x", uuid4())


def test_server_that_does_not_answer_leaves_nothing_unsaid(settings, monkeypatch):
    monkeypatch.setattr(through_server, "PATIENCE", 0.2)
    with answering(200, b"", slowly=threading.Event()) as address, pytest.raises(Refused, match="Look at Home"):
        ask_server(settings, address, "import", b"x", uuid4())


def test_too_large_a_file_is_refused_before_it_is_sent(settings, monkeypatch):
    monkeypatch.setattr("app.web.sizes.JOB_LIMIT", 1_000_000)
    with pytest.raises(Refused, match="up to 1 MB"):
        ask_server(settings, "http://127.0.0.1:1", "import", b"x" * 1_000_001, uuid4())
