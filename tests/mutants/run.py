"""Put one fault at a time into the modules that money hangs on, and see whether their tests notice.

`python -m tests.mutants.run` tries every mutant; `--sample N --seed S` some of them. Each is tried in a process of its own,
forked from one that has only third-party packages loaded, with a time limit; running out of time counts as noticed.
"""

import argparse
import importlib
import importlib.abc
import importlib.machinery
import os
import random
import signal
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutants.changing import Mutant, mutants
from tests.mutants.same import SAME

ROOT = Path(__file__).parents[2]
PATIENCE = 10  # times as long as the unchanged module takes, and ten seconds: then a mutant is taken to run for ever
ENOUGH = 0.90
DOMAIN, COSTING, TAKEOFF = "tests/domain/", "tests/domain/costing/", "tests/domain/takeoff/"
# the nearest tests first: most mutants fall there
BOUGHT = (
    TAKEOFF + "test_purchases.py",
    TAKEOFF + "test_assembly.py",
    DOMAIN + "test_orders.py",
    COSTING + "test_estimate.py",
)
WORKED_OUT = (
    TAKEOFF + "test_formula.py",
    TAKEOFF + "test_assembly.py",
    TAKEOFF + "test_requirements.py",
    COSTING + "test_explain.py",
)
PRICED = (
    COSTING + "test_price.py",
    COSTING + "test_estimate.py",
    COSTING + "test_exact.py",
    COSTING + "test_explain.py",
)
MODULES: dict[str, tuple[str, ...]] = {
    "app.domain.money": (DOMAIN + "test_money.py", COSTING + "test_sharing.py"),
    "app.domain.takeoff.formula": WORKED_OUT,
    "app.domain.takeoff.tree": WORKED_OUT,
    "app.domain.takeoff.purchases": BOUGHT,
    "app.domain.takeoff.buying": (TAKEOFF + "test_buying.py", TAKEOFF + "test_assembly.py", *BOUGHT),
    "app.domain.costing.sharing": (COSTING + "test_sharing.py",),
    "app.domain.costing.price": PRICED,
    "app.domain.costing.client_prices": (COSTING + "test_client_prices.py",),
}
LOADED_ONCE = ("pytest", "hypothesis", "numpy", "shapely", "msgspec", "pint", "babel", "sqlalchemy", "fastapi")


@dataclass(frozen=True)
class Tried:
    """A mutant of a module and whether its tests noticed."""

    module: str
    mutant: Mutant
    noticed: bool

    def __str__(self) -> str:
        return f"{self.module}:{self.mutant.line} {self.mutant.what}"


class _Wrong(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from changed code."""

    def __init__(self, name: str, code: str) -> None:
        self.name, self.code = name, code

    def find_spec(self, fullname, _path, _target=None):
        if fullname != self.name:
            return None
        return importlib.machinery.ModuleSpec(fullname, self, origin=str(file_of(self.name)))

    def exec_module(self, module) -> None:
        exec(compile(self.code, str(file_of(self.name)), "exec"), module.__dict__)


def file_of(module: str) -> Path:
    return ROOT / (module.replace(".", "/") + ".py")


def every_mutant(modules: Iterable[str] = MODULES) -> list[tuple[str, Mutant]]:
    """The mutants of the modules, without those that change nothing one could notice (each listed with its reason)."""
    found = [(name, one) for name in modules for one in mutants(file_of(name).read_text())]
    return [
        (name, one) for name, one in found if (name.rsplit(".")[-1], one.line_text(file_of(name)), one.what) not in SAME
    ]


def tests_of(module: str) -> list[str]:
    return [path for path in MODULES[module] if (ROOT / path).exists()]


def tried(module: str, mutant: Mutant, seconds: int) -> Tried:
    return Tried(module, mutant, noticed=_run(module, mutant.code, seconds) != 0)


def _run(module: str, code: str, seconds: int) -> int:
    """The exit code of the module's tests with the code in its place."""
    child = os.fork()
    if child == 0:
        _in_child(module, code, seconds)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _in_child(module: str, code: str, seconds: int) -> None:
    signal.alarm(seconds)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    left = 1
    try:
        import pytest

        sys.meta_path.insert(0, _Wrong(module, code))
        words = ["-x", "-q", "--assert=plain", "-p", "no:xdist", *tests_of(module)]
        left = int(pytest.main(words))
    finally:
        os._exit(left)


def try_all(chosen: Sequence[tuple[str, Mutant]], say=lambda _words: None) -> list[Tried]:
    """Try mutants one after the other. The unchanged modules must pass first, else nothing is learned."""
    for name in LOADED_ONCE:
        importlib.import_module(name)
    seconds = {module: _unchanged(module) for module in sorted({module for module, _ in chosen})}
    results = []
    for module, mutant in chosen:
        result = tried(module, mutant, seconds[module])
        results.append(result)
        if not result.noticed:
            say(f"not noticed: {result}")
    return results


def _unchanged(module: str) -> int:
    """How long [s] a mutant of the module may take. Raises: RuntimeError where the tests fail without any change."""
    began = time.monotonic()
    if _run(module, file_of(module).read_text(), 600) != 0:
        raise RuntimeError(f"the tests of {module} fail without any change")
    return 10 + round(PATIENCE * (time.monotonic() - began))


def summary(results: Sequence[Tried]) -> str:
    lines = []
    for module in dict.fromkeys(one.module for one in results):
        own = [one for one in results if one.module == module]
        noticed = sum(one.noticed for one in own)
        lines.append(f"{module}: {noticed} of {len(own)} noticed ({noticed / len(own):.0%})")
    noticed = sum(one.noticed for one in results)
    return "\n".join([*lines, f"all: {noticed} of {len(results)} noticed ({noticed / len(results):.1%})"])


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, help="how many mutants; all without it")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--enough", type=float, default=ENOUGH, help="the share that must be noticed")
    parser.add_argument("modules", nargs="*", default=list(MODULES))
    args = parser.parse_args(words)
    chosen = every_mutant(args.modules)
    if args.sample and args.sample < len(chosen):
        chosen = random.Random(args.seed).sample(chosen, args.sample)
    began = time.monotonic()
    results = try_all(chosen, _say)
    _say(f"{summary(results)}\n{time.monotonic() - began:.0f} s")
    return 0 if sum(one.noticed for one in results) >= args.enough * len(results) else 1


def _say(words: str) -> None:
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main())
