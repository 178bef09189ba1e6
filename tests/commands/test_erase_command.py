"""The command that erases a client, and what verify and restore say of it."""

import json
from pathlib import Path
from uuid import UUID

import pytest

from app.__main__ import main
from app.db.serving import alone
from app.services import backups
from app.services.office import Office


def run(office: Office, *words: str) -> int:
    return main(["--data", str(office.settings.data), *words])


def test_client_is_erased_and_verify_says_how_many_entries(
    office: Office, job_id: UUID, capsys: pytest.CaptureFixture[str]
) -> None:
    office.database.close()
    assert run(office, "erase", "1", "--name", "Linnea") == 2
    assert "by a slip" in capsys.readouterr().err
    assert run(office, "erase", "1", "--name", "Linnea Whitlock") == 0
    assert "Erased, and the record's chain holds." in capsys.readouterr().out
    assert run(office, "verify") == 0
    assert "Entries erased with their clients, each vouched for by a later one: 1." in capsys.readouterr().out
    assert run(office, "verify", "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"erased_entries": 1, "faults": []}
    assert run(office, "jobs") == 0
    assert "Whitlock" not in capsys.readouterr().out


@pytest.mark.sqlite_file("its bytes are looked at")
def test_restore_of_a_backup_from_before_erases_again(
    office: Office, job_id: UUID, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    backups.back_up(office, tmp_path / "before.zip")
    office.database.close()
    run(office, "erase", "1", "--name", "Linnea Whitlock")
    assert run(office, "restore", str(tmp_path / "before.zip")) == 0
    assert "1 client erased since the backup was made: erased again." in capsys.readouterr().out
    assert b"Whitlock" not in office.settings.database.read_bytes()


def test_while_served_it_is_refused(office: Office, job_id: UUID, capsys: pytest.CaptureFixture[str]) -> None:
    with alone(office.settings.data, "http://127.0.0.1:8137"):
        assert run(office, "erase", "1", "--name", "Linnea Whitlock") == 2
    assert "Outlay is running at http://127.0.0.1:8137" in capsys.readouterr().err
