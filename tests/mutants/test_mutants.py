"""A sample of the faults that `make mutants` puts in, one process each: nine of ten are noticed."""

import subprocess
import sys

import pytest

from tests.mutants.changing import mutants
from tests.mutants.run import MODULES, ROOT, file_of
from tests.mutants.same import SAME

QUICK = ("app.domain.costing.sharing",)  # that whose tests load least


def test_each_kind_of_fault_is_made_once_and_in_its_place():
    made = [
        (one.line, one.what)
        for one in mutants('def f(a: int = 2) -> bool:\n    """At least 1."""\n    return not a < 1 + -a')
    ]
    assert made == [(1, "2 → 3"), (3, "not gone"), (3, "Lt → LtE"), (3, "Lt → GtE"), (3, "Add → Sub"), (3, "1 → 2"), (3, "minus gone")]  # fmt: skip


def test_each_sign_of_a_chain_is_changed_by_itself():
    made = [one.code for one in mutants("0 < x <= y")]
    assert made == ["0 <= x <= y", "0 >= x <= y", "0 < x < y", "0 < x > y", "1 < x <= y"]


def test_what_is_said_to_change_nothing_is_a_mutant_of_a_line_that_is_there():
    known = {
        (name.rsplit(".")[-1], one.line_text(file_of(name)), one.what)
        for name in MODULES
        for one in mutants(file_of(name).read_text())
    }
    assert SAME.keys() - known == set()


@pytest.mark.slow
def test_sample_of_mutants_is_noticed():
    words = [sys.executable, "-m", "tests.mutants.run", "--sample", "2", "--seed", "7", *QUICK]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
