"""What the crew reads of a gas line: pipe, heat, the length that sized it, its trench; in English and in Spanish."""

import pytest

from app.config import Settings
from app.documents.tongues import ENGLISH, tongue
from app.domain.crew import crew_sheets
from app.domain.job import RunKind
from app.services.crew_pages import crew_page
from tests.domain.takeoff.test_gas_on_plan import job
from tests.plans.yards import basis, with_run


def lines(made, say=ENGLISH):
    """The rows of each line of the general works, by its place."""
    (sheet,) = crew_sheets(made, basis())
    return {one.where: dict(one.line) for one in crew_page(sheet, made, basis(), Settings().library, say).works}


def test_each_gas_line_tells_its_own_heat_and_the_length_of_the_whole_system() -> None:
    found = lines(job())
    assert found["Main"] == {
        "Gas pipe": "3/4 in, for the budget: the licensed gas fitter designs, lays and tests it",
        "Carries": "125,000 Btu/h, natural gas: Grill 60,000, Fire 65,000",
        "Longest length": "20'-0\", where the gas comes in to the farthest end",
        "Trench": "1'-10\" deep, 1'-6\" of cover",  # 18 in and 4 in below the pipe
    }
    assert found["Branch"]["Carries"] == "65,000 Btu/h, natural gas: Fire 65,000"
    assert found["Branch"]["Gas pipe"].startswith("1/2 in,")
    assert found["Branch"]["Longest length"].startswith("20'-0\"")


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (
            job(main={"heat": "90000"}),
            "90,000 Btu/h, natural gas: set in the office; by the plan Grill 60,000, Fire 65,000",
        ),
        (job(fire="0"), "60,000 Btu/h, natural gas: Grill 60,000; not known: Fire"),
        (job(grill="0", fire="0", main={"propane": "1"}), None),
    ],
)
def test_what_was_set_what_is_assumed_and_what_nobody_knows_is_said(made, told) -> None:
    told = told or "100,000 Btu/h, propane: assumed, the heat of nothing on it is known; not known: Grill, Fire"
    assert lines(made)["Main"]["Carries"] == told


def test_a_pipe_of_no_usual_size_is_told_by_its_inside() -> None:
    assert lines(job(main={"inside": "1.2"}))["Main"]["Gas pipe"].startswith("1.2 in inside,")


def test_it_is_said_in_spanish_and_lines_of_other_kinds_have_no_such_rows() -> None:
    made = with_run(job(), "Water", "solid-drain", kind=RunKind.DRAIN, points=((0, 20), (0, 40)))
    found = lines(made, tongue("es"))
    assert found["Main"]["Lleva"] == "125,000 Btu/h, gas natural: Grill 60,000, Fire 65,000"
    assert found["Main"]["Zanja"] == "1'-10\" de fondo, 1'-6\" de cubierta"
    assert found["Water"] == {}


def test_the_length_that_sized_a_pipe_is_said_once() -> None:
    (sheet,) = crew_sheets(job(), basis())
    main = next(one for one in sheet.works if one.where == "Main")
    assert main.gas is not None
    assert main.gas.longest == 20.0
    assert not [one.label for one in main.sizes if one.label.startswith("Longest length")]
