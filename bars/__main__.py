"""Measure all bars, or those numbered: `python -m bars [2 3 …] [--few]`. Exits 1 when a figure passes its limit."""

import argparse
import importlib
import pkgutil
import re
import sys
import time
import traceback
from collections.abc import Sequence

import bars
from bars import Figure, Measure

NAMED = re.compile(r"bar_(\d\d)_\w+")


def known() -> dict[int, str]:
    """The module of each bar by its number."""
    found = (NAMED.fullmatch(one.name) for one in pkgutil.iter_modules(bars.__path__))
    return {int(one[1]): f"bars.{one[0]}" for one in found if one}


def figures(module: str, few: bool) -> tuple[Figure, ...]:
    """What a bar measures; one that breaks does not hold."""
    try:
        measure: Measure = importlib.import_module(module).measure
        return measure(few)
    except Exception as wrong:  # noqa: BLE001 - the other bars are still measured
        traceback.print_exc()
        said = str(wrong).splitlines() or [type(wrong).__name__]
        return (Figure(what=module.rpartition(".")[2], value=float("nan"), limit=0, note=f"broke: {said[0]}"),)


def told(number: int, one: Figure, seconds: float) -> str:
    """A figure as a line."""
    limit = f"{'≥' if one.at_least else '≤'} {one.limit:g}"
    mark = "" if one.held else "  FAILS"
    line = f"{number:>2}  {one.what:<58}{one.value:>9.4g} {one.unit:<3}{limit:>8}{mark}"
    return f"{line}  {one.note} ({seconds:.0f} s)"


def main(words: Sequence[str] | None = None) -> int:
    """Measure and print, a line a figure."""
    parser = argparse.ArgumentParser(prog="python -m bars", description=__doc__)
    parser.add_argument("numbers", type=int, nargs="*", help="which (default: all there are)")
    parser.add_argument("--few", action="store_true", help="smaller counts, as the tests run them")
    args = parser.parse_args(words)
    modules = known()
    if strange := [str(one) for one in args.numbers if one not in modules]:
        parser.error(f"no bar {', '.join(strange)}; there are {', '.join(map(str, sorted(modules)))}")
    held = True
    for number in sorted(args.numbers or modules):
        began = time.monotonic()
        for one in figures(modules[number], args.few):
            print(told(number, one, time.monotonic() - began), flush=True)
            held &= one.held
    return int(not held)


if __name__ == "__main__":
    sys.exit(main())
