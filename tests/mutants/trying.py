"""Trying mutants: each in a process of its own, forked from one in which the tests are collected and nothing has run yet.

A fault inside a function is put in by exchanging the code of that function, and only the tests that run its lines are
asked, quickest first. A fault at the level of the module, and one that nobody noticed this way, is tried once more from
the beginning: the module is loaded from the changed code and all its tests are run. Random examples are the same at
every try and are not made smaller. A try that runs out of time counts as noticed.
"""

import ast
import gc
import importlib.abc
import importlib.machinery
import json
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.mutants.changing import Mutant

ROOT = Path(__file__).parents[2]
PATIENCE = 5  # times as long as the unchanged module takes, watched line by line, and ten seconds
WORDS = ("-x", "-q", "--assert=plain", "-p", "no:xdist", "--hypothesis-profile=mutants")
settings.register_profile(
    "mutants",
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],  # watched line by line on a busy machine, everything is slow
    phases=(Phase.explicit, Phase.generate),
)


def file_of(module: str) -> Path:
    return ROOT / (module.replace(".", "/") + ".py")


def noticed(module: str, tests: Sequence[str], chosen: Sequence[Mutant]) -> Iterator[bool]:
    """Whether the tests notice, mutant by mutant. Raises: RuntimeError where they fail without any change."""
    stage = _Stage(module, chosen)
    heard, told = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(heard)
        stage.told = told
        _quietly(lambda: pytest.main([*WORDS, *tests], plugins=[stage]), seconds=0)
    os.close(told)
    with os.fdopen(heard) as lines:
        seconds = int(next(lines, "0"))
        if not seconds:
            raise RuntimeError(f"the tests of {module} fail without any change")
        for mutant, line in zip(chosen, lines, strict=True):
            yield line == "noticed\n" or _loaded_anew(module, mutant, tests, seconds)
    os.waitpid(child, 0)


def _loaded_anew(module: str, mutant: Mutant, tests: Sequence[str], seconds: int) -> bool:
    def work() -> int:
        sys.meta_path.insert(0, _Wrong(module, mutant.code))
        return pytest.main([*WORDS, *tests])

    return _forked(work, seconds) != 0


def _forked(work: Callable[[], int], seconds: int) -> int:
    """The exit code of work done in a child."""
    child = os.fork()
    if child == 0:
        _quietly(work, seconds)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _quietly(work: Callable[[], int], seconds: int) -> None:
    """Work without a word and leave the process with its exit code; `seconds` of 0 is no limit."""
    signal.alarm(seconds)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    left = 1
    try:
        left = int(work())
    finally:
        os._exit(left)


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


@dataclass
class _Stage:
    """A plugin that, instead of running the collected tests, tries the mutants on them and tells the outcome."""

    module: str
    chosen: Sequence[Mutant]
    told: int = 0
    functions: list[FunctionType] = field(default_factory=list)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        file = str(file_of(self.module))
        gc.unfreeze()  # what was frozen once it was collected is not told
        gc.collect()
        self.functions = [
            one for one in gc.get_objects() if isinstance(one, FunctionType) and one.__code__.co_filename == file
        ]
        gc.freeze()
        runs = _watched(session, file)
        seconds = 10 + round(PATIENCE * sum(run.seconds for run in runs)) if runs else 0
        self.say(str(seconds))
        spans = _spans(file_of(self.module).read_text()) if runs else []
        for mutant in self.chosen if runs else ():
            span = next((one for one in spans if mutant.line in one), None)
            asked = [run.place for run in runs if span and not run.lines.isdisjoint(span)]
            fell = bool(asked) and _forked(lambda m=mutant, a=asked: self.try_one(session, m, a), seconds) != 0
            self.say("noticed" if fell else "not noticed")
        return True

    def say(self, words: str) -> None:
        os.write(self.told, f"{words}\n".encode())

    def try_one(self, session: pytest.Session, mutant: Mutant, asked: Sequence[int]) -> int:
        """1 where one of the tests fails once the code of the functions is that of the mutant."""
        codes = dict(_codes(compile(mutant.code, str(file_of(self.module)), "exec")))
        for one in self.functions:
            one.__code__ = codes[one.__code__.co_qualname]
        return int(not all(_passes(session, session.items[place]) for place in asked))


def _codes(code: CodeType) -> Iterator[tuple[str, CodeType]]:
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield one.co_qualname, one
            yield from _codes(one)


def _passes(session: pytest.Session, item: pytest.Item) -> bool:
    before = session.testsfailed
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
    return session.testsfailed == before


@dataclass(frozen=True)
class _Run:
    """A test that passes unchanged: its place among the collected, how long it took watched, and the lines it ran."""

    place: int
    seconds: float
    lines: frozenset[int]


def _watched(session: pytest.Session, file: str) -> list[_Run]:
    """What every test runs of a file, quickest first; nothing where one fails. Done in a child, to leave no trace here."""
    heard, told = os.pipe()

    def work() -> int:
        for place, item in enumerate(session.items):
            lines: set[int] = set()
            began = time.monotonic()
            sys.settrace(_watching(file, lines))
            passes = _passes(session, item)
            sys.settrace(None)
            if not passes:
                return 1
            os.write(told, json.dumps([place, time.monotonic() - began, sorted(lines)]).encode() + b"\n")
        return 0

    child = os.fork()
    if child == 0:
        _quietly(work, seconds=0)
    os.close(told)
    with os.fdopen(heard) as rows:
        runs = [_Run(place, seconds, frozenset(lines)) for place, seconds, lines in map(json.loads, rows)]
    left = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return [] if left else sorted(runs, key=lambda run: run.seconds)


def _watching(file: str, lines: set[int]) -> Callable[[FrameType, str, Any], Any]:
    def inside(frame: FrameType, _event: str, _value: Any) -> Any:
        lines.add(frame.f_lineno)
        return inside

    return lambda frame, event, value: inside(frame, event, value) if frame.f_code.co_filename == file else None


def _spans(source: str) -> list[range]:
    """The lines of each statement inside a function, narrowest first; of a statement with a body, those of its head."""
    found = []
    for function in ast.walk(ast.parse(source)):
        if isinstance(function, ast.FunctionDef):
            inside = (node for one in function.body for node in ast.walk(one) if isinstance(node, ast.stmt))
            found += [_span(node) for node in inside]
    return sorted(found, key=len)


def _span(statement: ast.stmt) -> range:
    body = getattr(statement, "body", None)
    last = body[0].lineno - 1 if body else statement.end_lineno or statement.lineno
    return range(statement.lineno, max(statement.lineno, last) + 1)
