"""Backups of both kinds by the command line: what is inside is said first, keys ask for their passphrase."""

import json

import pytest

from app.__main__ import main
from app.db.key_folder import KeyFolder
from app.services.office import Office


@pytest.fixture
def run(capsys):
    def typed(*words):
        code = main([str(word) for word in words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


@pytest.fixture
def typed_passphrase(monkeypatch):
    """What a person types where a passphrase is asked for, one after the other."""

    def types(*words: str) -> None:
        left = list(words)
        monkeypatch.setattr("app.commands.backup_commands.getpass", lambda _asked: left.pop(0))

    return types


def test_look_says_what_is_inside_either_kind_and_changes_nothing(run, office: Office, job_id, tmp_path) -> None:
    data = ("--data", office.settings.data)
    for kind, more in (("native.zip", ()), ("portable.zip", ("--portable",))):
        assert run(*data, "backup", tmp_path / kind, *more)[0] == 0
        code, said, _ = run("--data", tmp_path / "none", "restore", tmp_path / kind, "--look")
        assert (code, "1 job, " in said, "up to 2027-03-09" in said, "It is whole" in said) == (0, True, True, True)
        assert not (tmp_path / "none" / "outlay.db").exists()
    code, said, _ = run("restore", tmp_path / "portable.zip", "--look", "--json")
    assert json.loads(said)["jobs"] == 1


def test_portable_sets_up_a_new_laptop_with_its_keys(run, typed_passphrase, office, job_id, tmp_path) -> None:
    KeyFolder(office.settings.data / "keys").write("authority.key", b"private")
    typed_passphrase("stone over gravel", "stone over gravel")
    code, said, _ = run("--data", office.settings.data, "backup", tmp_path, "--portable", "--keys")
    assert (code, "sealed under your passphrase" in said) == (0, True)
    (archive,) = tmp_path.glob("outlay-portable-*.zip")
    laptop = ("--data", tmp_path / "laptop")
    typed_passphrase("not this one")
    code, _, wrong = run(*laptop, "restore", archive, "--keys")
    assert (code, "does not open the keys" in wrong) == (2, True)
    typed_passphrase("stone over gravel")
    code, said, _ = run(*laptop, "restore", archive, "--keys")
    assert code == 0
    assert said.startswith("Inside: ")  # before anything is put back
    assert (tmp_path / "laptop" / "keys" / "authority.key").read_bytes() == b"private"
    assert run(*laptop, "verify")[0] == 0


def test_passphrase_typed_differently_writes_nothing(run, typed_passphrase, office, job_id, tmp_path) -> None:
    typed_passphrase("stone over gravel", "stone over grave")
    code, _, wrong = run("--data", office.settings.data, "backup", tmp_path / "p.zip", "--portable", "--keys")
    assert (code, "not the same" in wrong) == (2, True)
    assert not list(tmp_path.glob("p.zip*"))


def test_without_keys_it_says_that_tablets_are_paired_anew(run, office, job_id, tmp_path) -> None:
    _, said, _ = run("--data", office.settings.data, "backup", tmp_path / "p.zip", "--portable")
    assert "paired anew" in said
