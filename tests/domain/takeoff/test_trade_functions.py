"""What trades give to formulas: dimensions checked, three readings that agree, refusals as open points, recipes that use it."""

from itertools import pairwise

import numpy as np
import pytest

from app.domain.takeoff.arrays import arrays
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen
from app.domain.takeoff.formula import formula
from app.domain.takeoff.trace import trace
from app.domain.takeoff.tree import DimensionMismatch, FormulaRefused
from app.domain.takeoff.vocabulary import OF_TRADES, scope_of
from app.domain.takeoff.working_out import Recorded, parameter_values, work_out
from app.domain.trades.functions import FUNCTIONS
from app.domain.trades.validity import OutsideValidity
from app.domain.units import LENGTH, RATIO, VOLUME
from app.interchange.library_file import load_library

BASIS = load_library().basis()
GIVEN = {name: one.work for name, one in FUNCTIONS.items()}
SCOPE = scope_of("feature", {"deep": LENGTH, "share": RATIO, "water": VOLUME}, {}, {})


def built(key: str, measures: dict[str, float], **parameters: str):
    compiled = compile_assembly(BASIS.assemblies[key], BASIS, Chosen(parameters, {}))
    assert not [one for one in compiled.findings if "formula" in one.rule], compiled.findings
    recorded = Recorded(measures)
    taken, problems = work_out(compiled, recorded)
    amounts: dict[str, float] = {}
    for one in taken:
        amounts[one.piece.role or one.piece.key] = amounts.get(one.piece.role or one.piece.key, 0.0) + one.amount
    return amounts, problems, parameter_values(compiled, recorded)


@pytest.mark.parametrize("place", ["zone", "run", "edge", "feature", "existing", "job"])
def test_they_are_known_on_every_place(place) -> None:
    scope = scope_of(place, {}, {}, {})
    assert set(FUNCTIONS) <= set(scope.applied)
    assert formula("buried_part(3*foot)", scope, wanted=LENGTH).number(GIVEN) == 0.5


def test_dimensions_are_checked_before_anything_is_worked_out() -> None:
    with pytest.raises(DimensionMismatch, match="buried_part wants ft"):
        formula("buried_part(3*foot**2)", SCOPE)
    with pytest.raises(FormulaRefused, match="3 numbers"):
        formula("stone_for(water, share)", SCOPE)
    assert formula("runoff(0.9, 4*inch/hour, 100*foot**2) / (gallon/hour)", SCOPE).kind == RATIO


@pytest.mark.parametrize(
    ("propane", "feet", "heat"),
    [(0, 60, 257 * 1030), (1, 20, 787_000), (1, 40, 541_000), (1, 50, 480_000)],
)
def test_what_a_gas_line_carries_is_that_of_the_printed_tables(propane: int, feet: int, heat: float) -> None:
    """1 in pipe, 0.5 in w.c. lost. Source: NFPA 54, Schedule 40, natural gas below 2 psi (2012) and undiluted propane at
    11 in w.c., as manuals of appliances print them."""
    found = formula(f"gas_carries(1.049*inch, {feet}*foot, {propane})", SCOPE).number(GIVEN)
    assert found == pytest.approx(heat, rel=0.03)


@pytest.mark.parametrize(
    "text",
    [
        "stone_for(water, 2*foot**3, share)",
        "basin_water(deep, deep, deep, share)",
        "buried_part(deep) * 2",
        "pipe_flow(deep / 10, 0.01, 0.012) / (foot**3/hour)",
        "runoff(share, 4*inch/hour, deep**2) * hour / gallon",
        "gas_carries(1.049*inch, 10 * deep, 1 if share > 0.4 else 0)",
        "head_lost(water / hour, 3*inch, 140, deep) / foot",
        "concrete_bags(water, 0.6*foot**3) + transformers(100 * share, 150)",
    ],
)
def test_numbers_arrays_and_traces_agree(text) -> None:
    read = formula(text, SCOPE)
    cases = [{"deep": 2.0 + n, "share": 0.3 + 0.02 * n, "water": 30.0 * n} for n in range(8)]
    together = {name: np.array([case[name] for case in cases]) for name in cases[0]}
    results, failed = arrays(read, {**together, **GIVEN})
    assert not failed.any()
    for case, result in zip(cases, results, strict=True):
        number = read.number({**case, **GIVEN})
        assert number == result
        assert trace(read, {**case, **GIVEN}, label="x").result == number


def test_cases_outside_validity_have_no_answer_and_no_branch() -> None:
    read = formula("deep if basin_water(deep, deep, deep, share) > 0 else 0", SCOPE)
    results, failed = arrays(read, {"deep": np.array([2.0, 2.0]), "share": np.array([0.4, 0.6]), **GIVEN})
    assert failed.tolist() == [False, True]
    assert results[0] == 2.0
    with pytest.raises(OutsideValidity, match="Porosity"):
        read.number({"deep": 2.0, "share": 0.6, **GIVEN})


def test_flows_are_cubic_feet_an_hour() -> None:
    """96.25 sq ft at 1 in/h make one gallon a minute: 8.02 cu ft an hour."""
    assert FUNCTIONS["runoff"].work(1.0, 1 / 12, 96.25) == pytest.approx(60 * 231 / 1728)
    assert FUNCTIONS["runoff"].work(1.0, 1 / 12, 96.25) == pytest.approx(96.25 / 12)
    assert all(name in OF_TRADES for name in FUNCTIONS)


def test_dry_well_buys_what_it_bought_before() -> None:
    amounts, problems, values = built("dry-well", {"count": 2.0, "haul_distance": 50.0, "soil_swell": 1.25})
    stone = (values["roof"] * values["storm"] - values["chamber"]) / values["open_share"]
    assert amounts["drain stone"] == pytest.approx(2 * stone, rel=1e-12)
    assert not problems


def test_dry_well_without_an_answer_is_an_open_point() -> None:
    _, problems, _ = built("dry-well", {"count": 1.0, "haul_distance": 50.0, "soil_swell": 1.25}, open_share="0.6")
    assert any("Porosity" in one.sentence for one in problems)


@pytest.mark.parametrize("height", [0.5, 3.0, 4.9, 5.5])
def test_wall_is_buried_as_before(height) -> None:
    found = built("retaining-wall", {"length": 30.0, "height": height, "corners": 0.0, "ends": 2.0})[2]
    assert found["buried"] == max(6 / 12, height / 10)


def test_a_basin_that_would_run_dry_is_an_open_point() -> None:
    measures = {"count": 1.0, "haul_distance": 50.0, "soil_swell": 1.25}
    assert not [one for one in built("water-feature", measures)[1] if one.rule == "out-of-bounds"]
    _, problems, values = built("water-feature", measures, falls_back="90*gallon")
    assert values["holds"] == pytest.approx(5 * 5 * 2 * 0.40)
    assert any("Water it holds" in one.sentence for one in problems)


def test_a_fountain_s_pump_is_told_its_head_and_too_much_flow_is_an_open_point() -> None:
    # a micro-hydro guide's chart: 10 gpm lose 6.3 ft in 100 ft of 1 in tube; 15 ft and three ells of 2.5 ft each
    measures = {"count": 1.0, "haul_distance": 50.0, "soil_swell": 1.25}
    values = built("water-feature", measures)[2]
    assert values["head"] == pytest.approx(5 + 6.3 * (15 + 7.5) / 100, abs=0.01)
    low = built("water-feature", measures, lift="2*foot", pipe="5*foot")[2]
    assert low["head"] == pytest.approx(2 + 6.3 * 12.5 / 100, abs=0.01)
    # 1,600 gal an hour is 26.7 gpm, 9.9 ft/s in that pipe; 17 ft more of it would not be refused, faster flow is
    with pytest.raises(OutsideValidity, match="Speed in the pipe"):
        FUNCTIONS["head_lost"].work(1700 * 231 / 1728, 1.049 / 12, 140, 10)


LINE = {"length": 50.0, "haul_distance": 50.0, "soil_swell": 1.25, "access_width": 4.0, "gas_longest": 50.0}


def test_a_gas_line_too_small_for_what_hangs_on_it_is_an_open_point() -> None:
    # ANSI Z223.1/NFPA 54-2012 as quoted in an appliance manual: 1 in over 50 ft carries 284 cu ft/h, 1/2 in 72
    measures = {**LINE, "gas_heat": 100_000.0}
    _, problems, values = built("gas-run", measures, inside="1.049")
    assert values["carries"] == pytest.approx(284 * 1030, rel=0.015)
    assert not any("carries" in one.sentence for one in problems)
    _, problems, values = built("gas-run", measures, inside="0.622")
    assert values["carries"] == pytest.approx(72 * 1030, rel=0.015)
    [said] = [one for one in problems if "Such a pipe carries" in one.sentence]
    assert said.sentence.endswith("is 74,645; it should be at least 100,000.")
    assert "“Pipe to budget by, inside, in”" in said.remedy
    assert "“Such a pipe carries" not in said.remedy  # it follows from them


def test_a_gas_line_goes_by_the_longest_length_of_its_system_never_by_less_than_its_own() -> None:
    """Longest length method: 1 in over 100 ft carries 195 cu ft/h (NFPA 54-2012), however short the branch is."""
    measures = {**LINE, "length": 20.0, "gas_longest": 100.0, "gas_heat": 0.0}
    values = built("gas-run", measures, inside="1.049")[2]
    assert values["carries"] == pytest.approx(195 * 1030, rel=0.015)
    _, problems, _ = built("gas-run", measures, longest="15*foot")
    assert any(one.sentence.startswith("Longest length") for one in problems)


# NFPA 54-2012, Schedule 40, natural gas, 0.5 in w.c. at 50 and 100 ft: cu ft/h of each size. Just within a column's
# figure that size is taken, just above it the next one; 1,030 Btu a cubic foot; the equation lies within 1.5 %
@pytest.mark.parametrize("by", ["plan", "typed"])
@pytest.mark.parametrize(
    ("feet", "carried"),
    [(50, {0.622: 72, 0.824: 151, 1.049: 284, 1.38: 583}), (100, {0.622: 50, 0.824: 104, 1.049: 195, 1.38: 400})],
)
def test_a_gas_line_is_budgeted_by_the_first_size_of_the_code_s_table_that_carries_its_heat(feet, carried, by) -> None:
    sizes = list(carried)
    for size, after in pairwise(sizes):
        for share, wanted in ((0.97, size), (1.03, after)):
            heat = carried[size] * 1030 * share
            told = {"heat": f"{heat}"} if by == "typed" else {}
            measures = {**LINE, "gas_longest": float(feet), "gas_heat": heat if by == "plan" else 20_000.0}
            _, problems, values = built("gas-run", measures, **told)
            assert values["inside"] == pytest.approx(wanted)
            assert not any("carries" in one.sentence for one in problems)


def test_a_gas_line_of_which_nothing_is_known_is_told_by_what_is_assumed_and_a_larger_one_is_another_allowance() -> (
    None
):
    assert built("gas-run", {**LINE, "gas_heat": 0.0})[2]["heat"] == 100_000.0
    key = compile_assembly(BASIS.assemblies["gas-run"], BASIS)
    for heat, wanted in ((250_000.0, "gas-allowance"), (400_000.0, "gas-allowance-large")):
        taken, _ = work_out(key, Recorded({**LINE, "gas_heat": heat, "under('zone')": 0.0}))
        assert [one.piece.key for one in taken if one.piece.role == "gas run"] == [wanted]


def test_more_lights_than_one_transformer_carries_ask_for_another() -> None:
    measures = {"count": 1.0}
    assert built("light-transformer", measures)[0]["transformer"] == 1
    assert built("light-transformer", measures, lights="21")[0]["transformer"] == 1
    assert built("light-transformer", measures, lights="22")[0]["transformer"] == 2  # 121 VA of the 120 that 150 carry


def test_a_pipe_too_small_for_its_roof_is_an_open_point() -> None:
    measures = {"length": 40.0, "haul_distance": 50.0, "soil_swell": 1.25, "access_width": 4.0}
    fine, small = (built("drain-line", measures, drains=area)[1] for area in ("1600*foot**2", "1700*foot**2"))
    assert not any("carries" in one.sentence for one in fine)
    assert any("A 4 in pipe carries" in one.sentence for one in small)
