"""Serving looks first: an address that is taken is said in a sentence."""

import socket
from pathlib import Path

import pytest

from app.__main__ import main


def test_taken_address_is_a_sentence_and_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert main(["--data", str(tmp_path / "data"), "serve", "--port", str(port)]) == 2
    assert f"--port {port + 1}" in capsys.readouterr().err
    assert not (tmp_path / "data" / "outlay.db").exists()
