"""The examples in the trades' own words come out as they stand there."""

import doctest
import importlib
import pkgutil

import pytest

from app.domain import trades

MODULES = [one.name for one in pkgutil.walk_packages(trades.__path__, "app.domain.trades.")]


@pytest.mark.parametrize("name", MODULES)
def test_examples_come_out(name) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    assert sum(doctest.testmod(importlib.import_module(name)).attempted for name in MODULES) > 20
