"""The cover that a power line wants where it runs: its trench is priced by it, the crew is told of it."""

from dataclasses import replace

import pytest

from app.config import Settings
from app.documents.tongues import ENGLISH, tongue
from app.domain.crew import crew_sheets
from app.domain.job import Option, RunKind
from app.domain.plan import rectangle
from app.domain.takeoff.cover import EVERY_WIRING, RULES, rule_key
from app.domain.takeoff.explained import TakeoffTraces
from app.domain.takeoff.requirements import requirements, worked_parameters
from app.domain.trades.lighting import COVER
from app.services.crew_pages import crew_page
from tests.plans.yards import basis, empty, named, with_existing, with_run, with_zone

LINE = named("work 0")
LINES = {
    "direct": "direct burial",
    "metal": "metal conduit",
    "plastic": "plastic conduit",
    "protected": "protected branch",
}


def job(**numbers: str):
    """40 ft of conduit straight out from the house."""
    points = ((20.0, 20.0), (20.0, 60.0))
    return with_run(empty(), "Power", "conduit-run", kind=RunKind.CONDUIT, points=points, parameters=numbers)


def with_drive(made):
    return with_existing(made, "Drive", "driveway", fate="stays", outline=rectangle(12, 10, at=(14, 30)))


def numbers(made, on=None):
    return worked_parameters(made, on or basis(), {"wiring"})[LINE]


def test_the_rules_say_what_the_printed_table_of_quick_math_says() -> None:
    for kind, place in (("yard", "yard"), ("slab", "thick slab"), ("drive", "home drive")):
        for method, line in LINES.items():
            assert basis().rules[rule_key(kind, method)].value == COVER[place][line]
    assert {rule_key(kind, method) for kind in ("yard", "slab", "drive") for method in LINES} == RULES
    assert EVERY_WIRING not in basis().rules  # only where a firm has set it


def test_a_cover_below_drives_that_the_firm_set_before_goes_first_for_every_wiring() -> None:
    own = replace(basis().rules["cover-drive-plastic"], id=EVERY_WIRING, value=30.0, reason="the town's engineer")
    ours = replace(basis(), rules={**basis().rules, EVERY_WIRING: own})
    for wiring in ("1", "2", "3", "4"):
        assert numbers(with_drive(job(wiring=wiring)), ours)["needed"] * 12 == pytest.approx(30)
    assert numbers(job(wiring="2"), ours)["needed"] * 12 == pytest.approx(6)  # none is driven on


@pytest.mark.parametrize(("wiring", "yard", "drive"), [("1", 24, 24), ("2", 6, 18), ("3", 18, 18), ("4", 12, 12)])
def test_the_deepest_place_decides_and_two_inches_go_beyond(wiring, yard, drive) -> None:
    for made, inches in ((job(wiring=wiring), yard), (with_drive(job(wiring=wiring)), drive)):
        found = numbers(made)
        assert found["needed"] * 12 == pytest.approx(inches)
        assert found["depth"] * 12 == pytest.approx(inches + 2)


def test_the_trench_is_dug_and_priced_as_deep_as_that() -> None:
    """By hand: 40 ft, 6 in wide; rigid metal 6 + 2 + 3 in deep in the yard, 18 + 2 + 3 in where it passes below a drive."""

    def hauled(made) -> float:
        return sum(one.amount for one in requirements(made, basis())[0] if one.key == "backfill-and-tamp")

    shallow, deep = (hauled(made) for made in (job(wiring="2"), with_drive(job(wiring="2"))))
    assert shallow == pytest.approx(40 * 0.5 * 11 / 12 * 0.95)
    assert deep == pytest.approx(40 * 0.5 * 23 / 12 * 0.95)


def test_what_the_firm_says_of_a_row_is_dug() -> None:
    assert numbers(job(), basis(cover_yard_plastic=24.0))["depth"] * 12 == pytest.approx(26)
    assert numbers(job())["depth"] * 12 == pytest.approx(20)


def test_what_was_typed_goes_before_it_and_where_it_runs_is_told() -> None:
    made = with_drive(job(depth="30*inch"))
    assert numbers(made)["depth"] == 2.5
    told = TakeoffTraces(made, basis()).numbers(LINE)["needed"]
    assert [one.source for one in told.steps if one.source.startswith("below")] == ["below Drive, in the yard"]


def test_a_line_told_by_its_length_alone_lies_in_the_yard() -> None:
    made = with_run(empty(), "Power", "conduit-run", kind=RunKind.CONDUIT, length=40.0)
    assert numbers(made)["needed"] * 12 == pytest.approx(18)


def rows(made, say=ENGLISH):
    (sheet,) = crew_sheets(made, basis())
    return next(dict(one.line) for one in crew_page(sheet, made, basis(), Settings().library, say).works if one.line)


def test_the_crew_is_told_the_cover_by_which_rule_and_where() -> None:
    assert rows(with_drive(job(wiring="2"))) == {
        "Wiring": "rigid metal conduit: the licensed electrician designs and connects it",
        "Cover wanted": "1'-6\" at least, where it passes below what is driven on: Drive "
        "(NFPA 70 table 300.5, edition 2020)",
        "Trench": "1'-11\" deep, 1'-8\" of cover",
    }
    assert rows(job())["Cover wanted"] == "1'-6\" at least, in the yard (NFPA 70 table 300.5, edition 2020)"
    assert rows(job(), tongue("es"))["Cubierta que pide"].startswith("1'-6\" al menos, en el patio")


def test_a_line_all_below_a_slab_or_a_building_is_told_so() -> None:
    slab = with_zone(job(), "A", rectangle(20, 50, at=(10, 19)), "concrete-slab")
    inside = replace(slab, runs=tuple(replace(one, points=((20.0, 19.9), (20.0, 60.0))) for one in slab.runs))
    page = crew_sheets(inside, basis())
    found = [one.power for sheet in page for one in sheet.works if one.power]
    assert [(one.kind, one.place, one.needed * 12) for one in found] == [("slab", "Place A", pytest.approx(4))]
    below = replace(job(), runs=tuple(replace(one, points=((20.0, 2.0), (20.0, 18.0))) for one in job().runs))
    assert rows(below)["Cover wanted"] == '0" at least, below a building, in a raceway (NFPA 70 table 300.5)'


def test_a_line_that_is_not_in_the_price_has_no_numbers_of_its_place() -> None:
    made = job(depth="30*inch")
    (run,) = made.runs
    out = replace(made, options=(Option(id=named("option"), title="Power", thing_ids=(run.id,)),))
    traces = TakeoffTraces(out, basis())
    assert (traces.numbers(LINE), traces.unset_numbers(LINE)) == ({}, {})
