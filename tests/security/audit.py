"""`make audit`: every locked package, of Python and of the pages, asked for at the open advisory service OSV.

Source: OSV, POST /v1/querybatch: ids of advisories for package versions, answered in the order asked. Only names and
versions of open packages are sent. Where the service is not reached that is said, and nothing fails: the checks that
need no network are in `test_libraries.py`.
"""

import json
import re
import sys
import tomllib
import urllib.error
import urllib.request
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
SERVICE = "https://api.osv.dev/v1/querybatch"
LOCKS = ("requirements.lock", "requirements-dev.lock", "requirements-postgres.lock")
PATIENCE = 20  # s
AT_ONCE = 500  # the service takes a thousand
Ask = Callable[[bytes], bytes]


@dataclass(frozen=True, slots=True, order=True)
class Locked:
    """A package at the version that is installed."""

    kind: str  # as the service calls where it comes from
    name: str
    version: str


@dataclass(frozen=True, slots=True)
class Found:
    """An advisory that a locked package has."""

    package: Locked
    advisory: str


class NotReached(Exception):
    """The service gave no answer that can be read."""


def locked(root: Path = ROOT) -> list[Locked]:
    """Every package of every lock, once."""
    found = {
        Locked("PyPI", match[1], match[2])
        for name in LOCKS
        for match in re.finditer(
            r"^([a-z0-9][a-z0-9._-]*)(?:\[[^\]]*\])?==([^\s;\\]+)", (root / name).read_text(), re.MULTILINE
        )
    }
    packages: Mapping[str, Mapping[str, str]] = json.loads((root / "package-lock.json").read_text())["packages"]
    for place, one in packages.items():
        if place:
            found.add(Locked("npm", place.rpartition("node_modules/")[2], one["version"]))
    return sorted(found)


def advisories(packages: Sequence[Locked], ask: Ask) -> list[Found]:
    """What the service knows of these packages. Raises: NotReached."""
    found: list[Found] = []
    for first in range(0, len(packages), AT_ONCE):
        some = packages[first : first + AT_ONCE]
        queries = [{"package": {"name": one.name, "ecosystem": one.kind}, "version": one.version} for one in some]
        try:
            results = json.loads(ask(json.dumps({"queries": queries}).encode()))["results"]
            for one, result in zip(some, results, strict=True):
                found += [Found(one, str(each["id"])) for each in (result or {}).get("vulns", ())]
        except (ValueError, KeyError, TypeError) as wrong:
            raise NotReached(f"its answer does not read as one ({type(wrong).__name__})") from wrong
    return found


def still_open(found: Iterable[Found], today: date) -> list[Found]:
    """Without what was looked at and accepted with its reason, for as long as that holds."""
    rows = tomllib.loads((Path(__file__).parent / "libraries.toml").read_text()).get("accepted", [])
    accepted = {row["id"] for row in rows if row["until"] >= today}
    return [one for one in found if one.advisory not in accepted]


def asked(content: bytes) -> bytes:
    """The service's answer. Raises: NotReached."""
    request = urllib.request.Request(SERVICE, content, {"content-type": "application/json"})
    try:
        with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
            read: bytes = answer.read()
            return read
    except (urllib.error.URLError, OSError) as wrong:
        raise NotReached(str(getattr(wrong, "reason", wrong))[:120]) from wrong


def main(ask: Ask = asked, today: date | None = None) -> int:
    """Ask, say, and answer 1 where a locked package has an advisory nobody accepted; 0 where nobody could be asked."""
    packages = locked()
    try:
        found = still_open(advisories(packages, ask), today or datetime.now(UTC).date())
    except NotReached as why:
        return _say(f"Not audited: the advisory service was not reached ({why}). Nothing is known to be wrong.")
    for one in found:
        at = f"{one.package.name} {one.package.version} ({one.package.kind})"
        _say(f"{at}: {one.advisory}, see https://osv.dev/{one.advisory}")
    _say(f"{len(packages)} locked packages asked for, {len(found)} advisories that nobody accepted.")
    return 1 if found else 0


def _say(line: str) -> int:
    sys.stdout.write(f"{line}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
