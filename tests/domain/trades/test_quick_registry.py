"""Every calculation: its formulas say what its code does, its defaults answer, its limits refuse, its words are whole."""

import math
from itertools import chain
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import NotFound, OutlayError
from app.domain.trades.calculation import Calculation, Input
from app.domain.trades.registry import CALCULATIONS, calculation, found_by
from app.domain.trades.working_out import NotUnderstood, read_typed, told_steps, typed_default, worked_out

EVERY = list(CALCULATIONS.values())
FUNCTIONS = {
    "ceil": lambda value: math.ceil(value - 1e-9),
    "floor": lambda value: math.floor(value + 1e-9),
    **{name: getattr(math, name) for name in ("sqrt", "pi", "exp", "log", "radians", "tan", "sin", "cos")},
    "min": min,
    "max": max,
}


HARMLESS = {"plants", "sun-and-shadow"}  # counting and looking hurt nobody


def named(one: Calculation) -> str:
    return one.key


def plain(one: Input) -> bool:
    return not (one.choices or one.columns or one.grid)


def formulas_hold(one: Calculation, typed: dict[str, str]) -> None:
    """Each step's formula, read by Python alone with the numbers put in, gives what the code gave."""
    try:
        answer = worked_out(one, read_typed(one, typed))
    except OutlayError:
        return
    known: dict[str, float] = {each.name: answer.values[each.name] for each in one.inputs}
    for step in answer.steps:
        if step.formula:
            found = eval(step.formula, {"__builtins__": {}}, {**FUNCTIONS, **known})
            assert found == pytest.approx(answer.values[step.name], rel=1e-9, abs=1e-9), (one.key, step)
        known[step.name] = answer.values[step.name]


@pytest.mark.parametrize("one", EVERY, ids=named)
def test_defaults_have_an_answer_in_feet_and_metric_and_formulas_give_it(one) -> None:
    formulas_hold(one, {})
    answers = []
    for system in ("feet", "metric"):
        typed = {each.name: typed_default(each, system) for each in one.inputs}
        answer = worked_out(one, read_typed(one, typed, system))
        assert {step.name for step in answer.steps} == {each.name for each in one.outputs}
        assert all(step.result for step in told_steps(answer, system))
        assert all(head for table in answer.tables for head, _ in table.heads), "a column without a head"
        answers.append(answer)
    for each in one.outputs:
        feet, metric = (answer.values[each.name] for answer in answers)
        if each.quantity.how != "count":  # what is rounded up may turn over a rounded default
            assert metric == pytest.approx(feet, rel=0.03, abs=0.03), each.name


@given(st.data())
@settings(max_examples=40)
def test_formulas_hold_for_any_numbers_within_the_limits(data) -> None:
    one = data.draw(st.sampled_from(EVERY))
    typed = {}
    for each in one.inputs:
        if each.choices:
            typed[each.name] = data.draw(st.sampled_from([key for key, _ in each.choices]))
        elif plain(each):
            low = each.least if each.least is not None else -100.0
            high = min(each.most if each.most is not None else 1000.0, 5000.0)
            value = data.draw(st.floats(max(low, -5000.0), max(high, low), allow_nan=False))
            typed[each.name] = each.quantity.typed(value)
    formulas_hold(one, typed)


@pytest.mark.parametrize("one", EVERY, ids=named)
def test_each_limit_refuses_beyond_and_takes_what_lies_on_it(one) -> None:
    for each in filter(plain, one.inputs):
        for limit, beyond in ((each.least, -1), (each.most, 1)):
            if limit is None or (each.quantity.how in ("area", "slope") and beyond > 0):
                continue  # the typed kinds have bounds of their own there
            on_it = worked_quietly(one, each, limit)
            assert not isinstance(on_it, NotUnderstood) or each.name not in on_it.sentences, (each.name, limit)
            off = limit + beyond * max(abs(limit) * 0.2, each.quantity.size, 0.2)
            refused = worked_quietly(one, each, off)
            assert isinstance(refused, NotUnderstood), (each.name, off)
            assert list(refused.sentences) == [each.name]
            assert refused.sentences[each.name].endswith(".")


def worked_quietly(one: Calculation, each: Input, value: float) -> object:
    try:
        read_typed(one, {each.name: exact_text(each, value)})
    except NotUnderstood as wrong:
        return wrong
    return None


def exact_text(each: Input, value: float) -> str:
    if each.quantity.how == "length":
        return f"{value * 12:.9f} in"
    if each.quantity.how == "area":
        return f"{value:.9f} sq ft"
    if each.quantity.how == "slope":
        return f"{value * 100:.9f}%"
    return f"{value / each.quantity.size:.9f}".rstrip("0").rstrip(".")


def test_every_calculation_says_what_it_rests_on_and_warns_where_work_can_hurt() -> None:
    for one in EVERY:
        assert one.source.endswith("."), one.key
        assert one.validity.endswith("."), one.key
        assert one.title, one.key
        assert one.words.endswith("."), one.key
        assert any(each.main for each in one.outputs), one.key
        assert not any("%" in each.label for each in (*one.inputs, *one.outputs)), (
            "labels are translated, a % is a figure"
        )
        assert one.money or one.cautions or one.key in HARMLESS, one.key
        names = [each.name for each in (*one.inputs, *one.outputs)]
        assert len(set(names)) == len(names), one.key
        assert not {"job", "where", "token", "change_id", "follows", "search", "version"} & set(names), one.key
    hurts = [one for one in EVERY if one.trade in ("Gas", "Lighting", "Walls")]
    assert all(one.stops for one in hurts)


def test_search_finds_by_any_word_and_money_stays_out_where_it_is_not_shown() -> None:
    def keys(search: str, *, money: bool = True) -> set[str]:
        return {one.key for one in chain(*(found for _, found in found_by(search, money=money)))}

    assert keys("") == set(CALCULATIONS)
    assert "concrete" in keys("bags")
    assert keys("BAGS slab") == {"concrete"}
    assert keys("unheard-of") == set()
    assert "margin" in keys("profit")
    assert not keys("", money=False) & {one.key for one in EVERY if one.money}
    with pytest.raises(NotFound, match="Did you mean “concrete”"):
        calculation("concret")


@pytest.mark.parametrize(
    ("key", "typed", "sentence"),
    [
        ("volume", {"area": "lots"}, "not understood"),
        ("volume", {"area": ""}, "Area is empty"),
        ("volume", {"loss": "-5"}, "negative"),
        ("volume", {"load": "12 bushels"}, "not a unit"),
        ("volume", {"material": "gold"}, "choose one"),
        ("steps", {"drop": "3 in"}, "a slope does it"),
        ("steps", {"drop": "13 ft"}, "landing"),
        ("loan", {"months": "1.5"}, "whole number"),
    ],
)
def test_what_cannot_be_worked_out_is_a_sentence(key, typed, sentence) -> None:
    one = CALCULATIONS[key]
    with pytest.raises(OutlayError) as refused:
        worked_out(one, read_typed(one, typed))
    assert sentence in refused.value.sentence


def test_a_bare_number_takes_the_unit_beside_it_and_any_unit_may_be_typed() -> None:
    one = CALCULATIONS["loads"]
    told = {
        system: read_typed(one, {"bank": typed}, system)["bank"]
        for system, typed in (("feet", "20"), ("metric", "15.291"))
    }
    assert told["metric"] == pytest.approx(told["feet"], rel=1e-4)
    assert read_typed(one, {"bank": "15.291 m3"})["bank"] == pytest.approx(540, rel=1e-4)
    assert read_typed(one, {"bank": "20 cu yd"}, "metric")["bank"] == pytest.approx(540)


def test_formulas_that_say_something_else_are_noticed() -> None:
    def lies(it) -> None:
        it.step("out", it["a"] * 2, "a * 3")

    one = SimpleNamespace(key="lie", work=lies, inputs=(), outputs=())
    working = worked_out(one, {"a": 1.0})
    assert eval(working.steps[0].formula, {}, {"a": 1.0}) != working.values["out"]
