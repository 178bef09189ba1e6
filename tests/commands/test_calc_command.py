"""Quick math by command: typed words, JSON in and out, the list, refusals with exit code 2."""

import json

import pytest

from app.__main__ import main
from app.domain.trades.registry import CALCULATIONS


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["calc", *words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_json_in_and_out(capsys) -> None:
    code, out, _ = run(capsys, "volume", "--json", '{"area": 450, "depth": "4 in", "loss": 0, "material": "base"}')
    told = json.loads(out)
    assert code == 0
    assert told["outputs"]["in_yards"] == {"unit": "cu yd", "value": pytest.approx(450 / 3 / 27)}
    assert told["outputs"]["weight"]["value"] == pytest.approx(150 * 140 / 2000)
    assert told["source"]
    assert told["cautions"]
    assert told["validity"]
    assert told["steps"][0]["formula"] == "area × depth"


def test_a_number_in_json_is_in_the_listed_unit(capsys) -> None:
    _, out, _ = run(capsys, "--list", "--json")
    volume = next(one for one in json.loads(out) if one["name"] == "volume")
    assert next(one for one in volume["inputs"] if one["name"] == "depth")["unit"] == "in"
    _, number, _ = run(capsys, "volume", "--json", '{"depth": 3.5}')
    _, words, _ = run(capsys, "volume", "--json", '{"depth": "3 1/2 in"}')
    assert json.loads(number)["outputs"] == json.loads(words)["outputs"]


def test_tables_and_rows_have_their_units(capsys) -> None:
    sections = '{"sections": [[0, 0], [50, 54]]}'
    _, out, _ = run(capsys, "end-areas", "--json", sections)
    [table] = json.loads(out)["tables"]
    assert [one["unit"] for one in table["columns"]] == ["", "cu yd", "cu yd"]
    assert table["rows"] == [["0 to 50", pytest.approx(50), 0]]


def test_words_are_read_as_on_the_sheet(capsys) -> None:
    code, out, _ = run(capsys, "steps", "drop=2' 6\"")
    assert code == 0
    assert "Risers" in out
    assert "CAUTION" in out
    assert "Source:" in out


def test_list_names_every_calculation_with_units_and_source(capsys) -> None:
    _, out, _ = run(capsys, "--list")
    assert all(f"\n{key}  " in f"\n{out}" for key in CALCULATIONS)
    assert out.count("Source:") == len(CALCULATIONS)
    _, out, _ = run(capsys, "--list", "--json")
    listed = json.loads(out)
    assert [one["name"] for one in listed] == list(CALCULATIONS)
    assert all(one["inputs"] and one["outputs"] and one["source"] for one in listed)
    _, out, _ = run(capsys)
    assert "volume  Volume and tons" in out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["volum"], "Did you mean “volume”"),
        (["volume", "--json", "{"], "does not read as JSON"),
        (["volume", "--json", "[1]"], "inputs by name"),
        (["volume", "--json", '{"volumen": 3}'], "is no input of volume"),
        (["volume", "--json", '{"area": null}'], "neither a number nor a text"),
        (["volume", "--json", '{"area": true}'], "neither a number nor a text"),
        (["volume", "--json", '{"area": NaN}'], "neither a number nor a text"),
        (["volume", "--json", '{"area": 1e999}'], "too long"),
        (["volume", "--json", '{"depth": "30 ft"}'], "too much"),
        (["volume", "--json", '{"area": -4}'], "not understood as an area"),
        (["volume", "area"], "has no “=”"),
        (["volume", "area=12 leagues"], "not a unit of area"),
    ],
)
def test_refusals_are_sentences_with_exit_code_two(capsys, words, sentence) -> None:
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert sentence in err
    assert err.rstrip().endswith((".", "?", "say."))
