"""The examples in the program's own words come out as they stand there."""

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = sorted(
    ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
    for file in (ROOT / "app").rglob("*.py")
    if ">>> " in file.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_come_out(name: str) -> None:
    found = doctest.testmod(importlib.import_module(name))
    assert (found.failed, found.attempted > 0) == (0, True)


def test_there_are_examples_in_many_places() -> None:
    assert len(MODULES) > 150
