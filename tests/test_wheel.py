"""The wheel, installed in an empty environment without Node, opens every sheet."""

import os
import re
import shutil
import subprocess
import sys
from importlib.metadata import distribution
from pathlib import Path
from zipfile import ZipFile

import httpx2 as httpx
import pytest
from packaging.requirements import Requirement

from tests.demo_made import demo_copied
from tests.served import serving

ROOT = Path(__file__).parents[1]


def run(*words: str | Path, cwd: Path) -> None:
    done = subprocess.run(
        [str(w) for w in words],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": ""},
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]


def take_along(lock: Path, libraries: Path) -> None:
    """What the lock names, and nothing else, as set-up installed it here against its hashes: linked, not fetched again."""
    for line in lock.read_text().splitlines():
        if not re.match(r"[a-zA-Z]", line):
            continue
        named = Requirement(line.removesuffix("\\"))
        if named.marker is not None and not named.marker.evaluate():
            continue
        installed = distribution(named.name)
        assert named.specifier.contains(installed.version), named
        for file in installed.files or ():
            if ".." not in file.parts:  # a command of its own, which nobody starts
                (libraries / file).parent.mkdir(parents=True, exist_ok=True)
                place(Path(installed.locate_file(file)), libraries / file)


def place(there: Path, here: Path) -> None:
    if here.exists() or not there.exists():
        return
    try:
        here.hardlink_to(there)
    except OSError:  # another disk
        shutil.copy2(there, here)


@pytest.mark.slow
def test_wheel_installed_alone_opens_every_sheet(tmp_path: Path) -> None:
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", tmp_path, ROOT, cwd=tmp_path)
    wheel = next(tmp_path.glob("*.whl"))
    shipped = {f"seed_demo/{one.name}" for one in (ROOT / "seed_demo").iterdir() if one.is_file()}
    assert shipped <= set(ZipFile(wheel).namelist())  # what the demo is made of: that it is made is tried elsewhere
    run(sys.executable, "-m", "venv", "--without-pip", tmp_path / "empty", cwd=tmp_path)
    python = tmp_path / "empty" / "bin" / "python"
    (libraries,) = (tmp_path / "empty" / "lib").glob("python*/site-packages")
    take_along(ROOT / "requirements.lock", libraries)
    pip = (sys.executable, "-m", "pip", "--python", python)  # that of the tests: the empty environment has none
    run(*pip, "install", "--quiet", "--disable-pip-version-check", "--no-deps", wheel, cwd=tmp_path)
    demo_copied(tmp_path / "data")
    with serving(tmp_path / "data", demo=True, python=python, cwd=tmp_path, path="/usr/bin-without-node") as server:
        home = httpx.get(server.address).text
        job = home.split('href="/jobs/')[1].split("/")[0].split('"')[0]
        sheets = ("client", "site", "plan", "palette", "checks", "estimate", "phases", "proposal", "build")
        pages = ["/", "/prices", "/firm", "/library", *[f"/jobs/{job}/{sheet}" for sheet in sheets]]
        codes = {page: httpx.get(server.address + page, timeout=30).status_code for page in pages}
        assert codes == dict.fromkeys(pages, 200)
        style = home.split('rel="stylesheet" href="')[1].split('"')[0]
        assert len(httpx.get(server.address + style).content) > 10_000
