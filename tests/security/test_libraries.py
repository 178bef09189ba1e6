"""Libraries: locked whole, by hash, never below what was mended; `make audit` says what it finds, or that it could not ask."""

import json
import re
import tomllib
from datetime import date
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

from tests.security import audit
from tests.security.audit import LOCKS, NotReached

ROOT = Path(__file__).parents[2]
WANTED = tomllib.loads((ROOT / "pyproject.toml").read_text())
KNOWN = tomllib.loads((Path(__file__).parent / "libraries.toml").read_text())
TODAY = date(2026, 11, 29)


def versions(lock: str) -> dict[str, set[Version]]:
    """Each package, at the versions it has on the Pythons it is locked for."""
    pinned = re.findall(r"^([a-z0-9][a-z0-9._-]*)(?:\[[^\]]*\])?==([^\s;\\]+)", (ROOT / lock).read_text(), re.MULTILINE)
    found: dict[str, set[Version]] = {}
    for name, version in pinned:
        found.setdefault(canonicalize_name(name), set()).add(Version(version))
    return found


def wanted(lock: str) -> list[Requirement]:
    named = list(WANTED["project"]["dependencies"])
    if lock == "requirements-dev.lock":
        named += WANTED["dependency-groups"]["dev"]
    if lock == "requirements-postgres.lock":
        named += WANTED["project"]["optional-dependencies"]["postgres"]
    return [Requirement(one) for one in named]


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_holds_all_that_is_wanted_at_a_version_that_is_taken(lock: str) -> None:
    have = versions(lock)
    for one in wanted(lock):
        name = canonicalize_name(one.name)
        assert name in have, one
        assert all(one.specifier.contains(each, prereleases=True) for each in have[name]), (one, have[name])


@pytest.mark.parametrize("lock", LOCKS)
def test_each_locked_package_has_hashes_and_no_release_before_its_time(lock: str) -> None:
    text = (ROOT / lock).read_text()
    parts = re.split(r"^(?=[a-z0-9])", text, flags=re.MULTILINE)[1:]
    assert len(parts) == sum(len(each) for each in versions(lock).values()) > 60
    assert [one.split("==")[0] for one in parts if not re.search(r"--hash=sha256:[0-9a-f]{64}", one)] == []
    assert [name for name, each in versions(lock).items() if any(one.is_devrelease for one in each)] == []


def test_what_runs_is_what_was_tested() -> None:
    tested = versions("requirements-dev.lock")
    for lock in LOCKS:
        apart = [name for name, each in versions(lock).items() if tested.get(name, each) != each]
        assert apart == [], lock


def test_each_package_of_the_pages_is_locked_by_its_hash() -> None:
    packages = json.loads((ROOT / "package-lock.json").read_text())["packages"]
    loose = [place for place, one in packages.items() if place and not one.get("integrity", "").startswith("sha512-")]
    assert loose == []
    wanted = json.loads((ROOT / "package.json").read_text())["dependencies"]
    assert [one for one in wanted.values() if not re.fullmatch(r"\d+\.\d+\.\d+", one)] == [], "exact versions only"


@pytest.mark.parametrize("row", KNOWN["mended"], ids=lambda row: row["package"])
def test_no_lock_goes_back_before_what_was_mended(row: dict) -> None:
    """Source: the advisory named in the row."""
    assert row["source"].startswith("GHSA-")
    at = [found[row["package"]] for lock in LOCKS if row["package"] in (found := versions(lock))]
    assert at
    assert all(one >= Version(row["version"]) for each in at for one in each), at


def answering(*of: tuple[str, str]) -> audit.Ask:
    """The service as it answers, in the order asked: these advisories, by package."""

    def ask(content: bytes) -> bytes:
        names = [one["package"]["name"] for one in json.loads(content)["queries"]]
        results = [{"vulns": [{"id": each, "modified": "x"} for name, each in of if name == one]} for one in names]
        return json.dumps({"results": [one if one["vulns"] else {} for one in results]}).encode()

    return ask


def test_every_locked_package_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    seen: list[dict] = []

    def ask(content: bytes) -> bytes:
        seen.extend(json.loads(content)["queries"])
        return json.dumps({"results": [{}] * len(json.loads(content)["queries"])}).encode()

    assert audit.main(ask, TODAY) == 0
    names = {one["package"]["name"] for one in seen}
    assert {"jinja2", "pillow", "htmx.org", "@fontsource/zilla-slab", "psycopg"} <= names
    assert set(versions("requirements-dev.lock")) <= names
    assert f"{len(seen)} locked packages asked for, 0 advisories" in capsys.readouterr().out


def test_advisory_is_told_and_fails(capsys: pytest.CaptureFixture[str]) -> None:
    assert audit.main(answering(("jinja2", "GHSA-0000-0000-0000")), TODAY) == 1
    assert re.search(r"jinja2 \d\S* \(PyPI\): GHSA-0000-0000-0000", capsys.readouterr().out)


def test_accepted_one_does_not_fail_until_its_day(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = '[[accepted]]\nid = "GHSA-0000-0000-0000"\npackage = "jinja2"\nbecause = "not used"\nuntil = 2026-12-31\n'
    monkeypatch.setattr(
        Path, "read_text", lambda one, *_all, read=Path.read_text: rows if one.name == "libraries.toml" else read(one)
    )
    assert audit.main(answering(("jinja2", "GHSA-0000-0000-0000")), TODAY) == 0
    assert audit.main(answering(("jinja2", "GHSA-0000-0000-0000")), date(2027, 1, 1)) == 1


@pytest.mark.parametrize("answer", [b"", b"<html>", b'{"results": []}', b'{"other": 1}', b'{"results": null}'])
def test_service_that_is_not_there_or_not_itself_is_said_and_fails_nothing(
    answer: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    assert audit.main(lambda _content: answer, TODAY) == 0
    assert capsys.readouterr().out.startswith("Not audited: the advisory service was not reached")


def test_no_network_is_said_in_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    def ask(_content: bytes) -> bytes:
        raise NotReached("Name or service not known")

    assert audit.main(ask, TODAY) == 0
    assert capsys.readouterr().out.count("\n") == 1
