"""What the log says: refusals and errors, a JSON object a line, in a private file, without a word a person typed."""

import json
import logging
import os
import stat
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.commands import log_lines
from app.commands.log_lines import FILES, MOST_BYTES, TOLD, Lines
from app.domain.devices import Face
from app.domain.sharing import Over
from app.main import create_app
from app.services import devices, pairing
from app.services.jobs import Order
from app.services.office import Office
from app.web import refusals
from tests.web.conftest import Browser
from tests.web.reaching import let_in, paired, sent, shared

TYPED = "Zyxwhitlock"


def told(caplog: pytest.LogCaptureFixture) -> list[dict]:
    lines = [json.loads(Lines().format(one)) for one in caplog.records if one.name == "outlay"]
    caplog.clear()
    return lines


def test_every_refusal_is_a_line_that_says_why_where_and_to_whom(
    stocked: Office, ready: UUID, caplog: pytest.LogCaptureFixture
) -> None:
    here = Browser(stocked)
    field = paired(stocked, Over.SECURE, face=Face.FIELD)
    known = devices.every_device(stocked)[0]
    caplog.clear()
    here.post(f"/jobs/{ready}/undo", headers={"origin": "http://evil.example"})
    here.get("/", headers={"host": f"{TYPED}.example"})
    shared(stocked, Over.SECURE).get(f"/jobs/{TYPED}")
    field.get(f"/jobs/{ready}/estimate")
    devices.revoke(stocked, known.id, Order(change_id=uuid4()))
    field.get("/field")
    said = [(one["event"], one["status"], one["over"], one["at"]) for one in told(caplog)]
    assert said == [
        ("refused", 403, "here", "/jobs/{job_id}/undo"),
        ("refused", 421, "here", ""),
        ("refused", 403, "secure", ""),
        ("refused", 303, "secure", "/jobs/{job_id}/estimate"),
        ("refused", 401, "secure", ""),
    ]
    assert {status for _, status, _, _ in said} <= set(refusals.WHY)


def test_line_of_another_face_names_the_device(stocked: Office, ready: UUID, caplog: pytest.LogCaptureFixture) -> None:
    field = paired(stocked, Over.SECURE, face=Face.FIELD)
    caplog.clear()
    field.get(f"/jobs/{ready}/estimate")
    assert told(caplog)[0]["device"] == str(devices.every_device(stocked)[0].id)


def test_wrong_codes_are_lines_without_the_code(office: Office, caplog: pytest.LogCaptureFixture) -> None:
    pairing.begin(office, Face.OURS, None)
    sent(shared(office, Over.SECURE), office, "/pair", {"code": "ACDEFGHJ", "name": TYPED})
    lines = told(caplog)
    assert [one["event"] for one in lines] == ["wrong code of a pairing"]
    assert "ACDEFGHJ" not in json.dumps(lines)
    assert TYPED not in json.dumps(lines)


def test_line_is_one_object_in_utc_and_holds_named_things_only() -> None:
    record = logging.LogRecord("outlay", logging.WARNING, "x.py", 1, "refused", (), None)
    record.__dict__ |= {"why": "a\r\nforged line", "typed": TYPED, "device": "d"}
    line = Lines().format(record)
    assert "\n" not in line
    read = json.loads(line)
    assert set(read) == {"time", "level", "of", "event", "why", "device"}
    assert datetime.fromisoformat(read["time"]).tzinfo == UTC
    assert {"typed", "body", "message"}.isdisjoint(TOLD)


def test_error_is_told_by_its_class_and_places_and_not_by_its_words() -> None:
    try:
        int(TYPED)
    except ValueError:
        record = logging.LogRecord("outlay", logging.ERROR, "x.py", 1, "unexpected error", (), sys.exc_info())
    line = Lines().format(record)
    assert TYPED not in line
    assert json.loads(line)["error"] == "ValueError"
    assert json.loads(line)["in"][0].startswith("test_log_lines.py:")


def test_unexpected_error_of_a_page_names_the_address_as_declared(
    stocked: Office, ready: UUID, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*_all, **_named):
        raise RuntimeError(TYPED)

    monkeypatch.setattr("app.web.routes.history.history", breaks)
    here = Browser(stocked)
    assert here.get(f"/jobs/{ready}/history").status_code == 500
    line = next(one for one in told(caplog) if one["event"] == "unexpected error")
    assert (line["at"], line["error"]) == ("/jobs/{job_id}/history", "RuntimeError")
    assert TYPED not in json.dumps(line)


def test_file_is_its_owner_s_and_stays_small(tmp_path: Path) -> None:
    """In a process of its own: the log of the tests stays as it is."""
    program = (
        "import logging, sys; from pathlib import Path; from app.commands import log_lines\n"
        f"log_lines.begin(Path({str(tmp_path)!r}))\n"
        "for n in range(60_000): logging.getLogger('outlay').warning('refused', extra={'why': 'x' * 120})\n"
    )
    done = subprocess.run([sys.executable, "-c", program], env=os.environ, capture_output=True, check=True)
    assert done.stderr.count(b"\n") == 60_000
    files = sorted((tmp_path / log_lines.FOLDER).iterdir())
    assert len(files) == FILES + 1
    assert all(one.stat().st_size <= MOST_BYTES for one in files)
    assert {stat.S_IMODE(one.stat().st_mode) for one in files} == {0o600}
    assert stat.S_IMODE((tmp_path / log_lines.FOLDER).stat().st_mode) == 0o700
    assert json.loads(files[0].read_text().splitlines()[0])["event"] == "refused"


def test_application_logs_nothing_of_a_day_without_refusals(
    stocked: Office, ready: UUID, caplog: pytest.LogCaptureFixture
) -> None:
    assert create_app(stocked)
    assert let_in(stocked, Over.SECURE)
    here = Browser(stocked)
    here.post(f"/jobs/{ready}/client/need/new", {"words": TYPED})
    here.get(f"/jobs/{ready}/estimate")
    assert told(caplog) == []
