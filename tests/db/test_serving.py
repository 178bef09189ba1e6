"""One program at a time writes to a data folder."""

import pytest

from app.db.serving import NAME, InUse, alone


def test_second_program_is_refused_with_the_address_of_the_first(tmp_path):
    with (
        alone(tmp_path, "http://127.0.0.1:8137"),
        pytest.raises(InUse, match=r"running at http://127\.0\.0\.1:8137"),
        alone(tmp_path),
    ):
        pass


def test_folder_is_free_again_afterwards(tmp_path):
    with alone(tmp_path, "http://127.0.0.1:8137"):
        pass
    with alone(tmp_path):
        assert (tmp_path / NAME).read_text() == ""


def test_folder_is_free_again_after_an_error(tmp_path):
    with pytest.raises(ZeroDivisionError), alone(tmp_path):
        raise ZeroDivisionError
    with alone(tmp_path):
        pass


def test_what_a_crash_left_written_does_not_hold_the_folder(tmp_path):
    (tmp_path / NAME).write_text("http://127.0.0.1:8137")
    with alone(tmp_path):
        pass


def test_two_commands_speak_of_a_command(tmp_path):
    with alone(tmp_path), pytest.raises(InUse, match="Another command"), alone(tmp_path):
        pass
