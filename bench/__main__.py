"""Run all benches, or those named: `python -m bench [estimate …]`. Exits 1 when a figure passes its limit."""

import importlib
import pkgutil
import sys

import bench
from bench import Result


def results(names: list[str]) -> list[Result]:
    found: list[Result] = []
    for module in pkgutil.iter_modules(bench.__path__):
        if module.name != "__main__" and (not names or module.name in names):
            run = getattr(importlib.import_module(f"bench.{module.name}"), "run", None)
            found += run() if run else []
    return found


def main() -> int:
    found = results(sys.argv[1:])
    for one in found:
        limit = f"≤ {one.most:g} {one.unit}" if one.most is not None else ""
        mark = "" if one.held else "  OVER"
        print(f"{one.name:<46}{one.value:>10.2f} {one.unit:<3}{limit:>14}{mark}  {one.note}".rstrip())
    return int(not all(one.held for one in found))


if __name__ == "__main__":
    sys.exit(main())
