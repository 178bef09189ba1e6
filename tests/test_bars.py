"""The bars at small counts, and what runs them: a figure beyond its limit, or a bar that breaks, ends with 1."""

import sys
from contextlib import suppress
from types import ModuleType

import pytest

from app.db.disk import DiskTrouble
from app.services import changes
from bars import Figure, bar_12_answers, bar_14_postgres
from bars.__main__ import figures, known, main
from tests.every_change.table import CHANGES

CHEAP = (2, 3, 8)  # whose small count takes seconds; what the others ask is tried where it is tested


def stand_in(monkeypatch: pytest.MonkeyPatch, measure) -> None:
    module = ModuleType("bars.bar_99_stand_in")
    module.measure = measure  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, module.__name__, module)
    monkeypatch.setattr("bars.__main__.known", lambda: {99: module.__name__})


@pytest.mark.parametrize("number", CHEAP)
def test_bar_holds_at_a_small_count(number: int) -> None:
    for one in figures(known()[number], few=True):
        assert one.held, f"{one.what}: {one.value} {one.note}"


def test_answers_before_the_commit_are_seen(monkeypatch) -> None:
    """By a save that does not mind whether it was committed, and an error page that forgets what was typed."""
    apply = changes.apply

    def anyhow(*given):
        with suppress(DiskTrouble):
            return apply(*given)

    some = [one for one in CHANGES if one.route in {"/jobs", "/jobs/{job_id}/palette/choose", "/firm/devices/pair"}]
    monkeypatch.setattr(bar_12_answers, "CHANGES", some)
    monkeypatch.setattr("app.services.changes.apply", anyhow)
    monkeypatch.setattr("app.web.errors._typed", lambda *_given: None)
    success, saved, otherwise, lost, *_ = (one.value for one in bar_12_answers.measure(few=True))
    assert (success, saved, otherwise, lost) == (2, 0, 2, 3)


def test_figure_beyond_its_limit_ends_with_1(monkeypatch, capsys) -> None:
    stand_in(monkeypatch, lambda few: (Figure(what="lost", value=1 if few else 0, limit=0, note="of 9"),))
    assert main(["99"]) == 0
    assert main(["99", "--few"]) == 1
    assert capsys.readouterr().out.count("FAILS") == 1


def test_bar_that_breaks_is_said_and_does_not_hold(monkeypatch, capsys) -> None:
    def broken(_few: bool):
        raise RuntimeError("no server")

    stand_in(monkeypatch, broken)
    assert main([]) == 1
    assert "broke: no server" in capsys.readouterr().out


def test_suite_on_postgres_is_read_from_what_its_tests_say() -> None:
    figure = bar_14_postgres.counted("2 failed, 900 passed, 30 skipped, 1 error in 80.2s", 1)
    assert (figure.value, figure.held) == (3, False)
    assert figure.note == "900 tests passed, 30 are of the SQLite file itself"
    told = "FAILED tests/db/test_places.py::test_one - AssertionError\n1 failed, 900 passed in 80.2s"
    assert bar_14_postgres.counted(told, 1).note.endswith("; tests/db/test_places.py::test_one")
    assert bar_14_postgres.counted("900 passed, 30 skipped in 80.2s", 0).held
    assert not bar_14_postgres.counted("no tests ran", 5).held
    assert bar_14_postgres._make_says("ON_POSTGRES").startswith("tests/db ")


def test_least_figure_holds_from_its_limit_on() -> None:
    assert Figure(what="reached", value=95, limit=95, at_least=True).held
    assert not Figure(what="reached", value=94, limit=95, at_least=True).held


def test_bar_that_is_not_there_is_refused(capsys) -> None:
    with pytest.raises(SystemExit):
        main(["98"])
    assert "no bar 98" in capsys.readouterr().err
