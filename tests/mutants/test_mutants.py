"""A sample of the faults that `make mutants` puts in, one process each: nine of ten are noticed."""

import subprocess
import sys

import pytest

from tests.mutants.changing import mutants
from tests.mutants.run import ROOT


def test_each_kind_of_fault_is_made_once_and_in_its_place():
    made = [
        (one.line, one.what)
        for one in mutants('def f(a: int = 2) -> bool:\n    """At least 1."""\n    return not a < 1 + -a')
    ]
    assert made == [(1, "2 → 3"), (3, "not gone"), (3, "Lt → LtE"), (3, "Lt → GtE"), (3, "Add → Sub"), (3, "1 → 2"), (3, "minus gone")]  # fmt: skip


@pytest.mark.slow
def test_sample_of_mutants_is_noticed():
    words = [sys.executable, "-m", "tests.mutants.run", "--sample", "12", "--seed", "7", "--enough", "0.75"]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
