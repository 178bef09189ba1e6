"""Put one fault at a time into the modules that money hangs on, and see whether their tests notice.

`python -m tests.mutants.run` tries every mutant; names of modules choose among them, `--sample N --seed S` takes some.
"""

import argparse
import importlib
import random
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tests.mutants.changing import Mutant, mutants
from tests.mutants.same import SAME
from tests.mutants.trying import ROOT, file_of, noticed

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
    "app.domain.costing.estimate": PRICED,
    "app.domain.costing.pay_year": (COSTING + "test_pay_year.py", "tests/published/test_burden_examples.py"),
    "app.domain.costing.crew_day": (COSTING + "test_crew_day.py", COSTING + "test_estimate.py"),
    "app.domain.costing.site_factors": (COSTING + "test_site_factors.py", COSTING + "test_price.py"),
    "app.domain.costing.warranty": (COSTING + "test_warranty.py",),
    "app.domain.costing.client_prices": (COSTING + "test_client_prices.py",),
    "app.domain.costing.payments": (COSTING + "test_payments.py",),
    "app.domain.change": (DOMAIN + "test_change.py",),
    "app.services.changes": ("tests/services/test_changes.py",),
    "app.services.history": ("tests/services/test_record_pages.py",),
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


def every_mutant(modules: Iterable[str] = MODULES) -> list[tuple[str, Mutant]]:
    """The mutants of the modules, without those that change nothing one could notice (each listed with its reason)."""
    found = [(name, one) for name in modules for one in mutants(file_of(name).read_text())]
    return [
        (name, one) for name, one in found if (name.rsplit(".")[-1], one.line_text(file_of(name)), one.what) not in SAME
    ]


def tests_of(module: str) -> list[str]:
    return [path for path in MODULES[module] if (ROOT / path).exists()]


def try_all(chosen: Sequence[tuple[str, Mutant]], say=lambda _words: None) -> list[Tried]:
    """Try mutants module by module. The unchanged modules must pass first, else nothing is learned."""
    for name in LOADED_ONCE:
        importlib.import_module(name)
    results = []
    for module in dict.fromkeys(module for module, _ in chosen):
        own = [mutant for name, mutant in chosen if name == module]
        for mutant, seen in zip(own, noticed(module, tests_of(module), own), strict=True):
            results.append(Tried(module, mutant, seen))
            if not seen:
                say(f"not noticed: {results[-1]}")
    return results


def summary(results: Sequence[Tried]) -> str:
    lines = []
    for module in dict.fromkeys(one.module for one in results):
        own = [one for one in results if one.module == module]
        seen = sum(one.noticed for one in own)
        lines.append(f"{module}: {seen} of {len(own)} noticed ({seen / len(own):.0%})")
    seen = sum(one.noticed for one in results)
    return "\n".join([*lines, f"all: {seen} of {len(results)} noticed ({seen / len(results):.1%})"])


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
