"""The Spanish catalog: every sentence of the crew's pages and every word of the library that stands on them, no figure lost."""

import re
import tomllib
from collections import Counter
from itertools import chain
from pathlib import Path

import pytest

from app.documents.tongues import SHIPPED, catalog, shapes, tongue
from app.domain.basis import CostClass
from app.domain.crew.sheet import MEASURE_WORDS, NOT_MEASURED
from app.domain.job import PRIVATE_LINES, RunKind
from app.domain.plan.laying.pattern import BORDERS, PATTERNS
from app.domain.takeoff.cover import METHODS
from app.domain.takeoff.kind import Special
from app.domain.takeoff.vocabulary import PLACE_MEASURES
from app.domain.units import TRADE_UNITS
from app.interchange.building_stages import building_stages
from app.interchange.crew_words import crew_words
from app.interchange.library_file import load_library
from app.services.crew_pages import LIFTED_BY, REASONS, WAYS

ROOT = Path(__file__).parents[2]
PAGES = (
    "field/*.html",
    "build/_day*.html",
    "build/_crew.html",
    "build/crew.html",
    "build/_layout.html",
    "build/layout.html",
)
PAPERS = ("documents/crew_sheet.html", "documents/day_sheet.html", "documents/layout_sheet.html")
AROUND = ("base.html", "unsent/_words.html", "macros/forms.html", "macros/log.html", "macros/after.html")
SERVICES = (
    "services/crew_pages.py",
    "services/crew_drip.py",
    "services/crew_heads.py",
    "services/crew_lines.py",
    "services/day_pages.py",
    "services/build.py",
    "web/day_screens.py",
)
SAID = re.compile(r'\b_\("((?:[^"\\]|\\.)*)"|ngettext\(\s*"((?:[^"\\]|\\.)*)",\s*"((?:[^"\\]|\\.)*)"')
SAYS = re.compile(r'\bsay\(\s*"((?:[^"\\]|\\.)*)"')
NO_MONEY = (CostClass.FEE, CostClass.ALLOWANCE)  # never on a crew sheet
SPANISH = tongue("es").words
KEPT_WHOLE = {"Outlay"}


def on_pages() -> set[str]:
    templates = ROOT / "templates"
    found = {path for pattern in (*PAGES, *PAPERS, *AROUND) for path in templates.glob(pattern)}
    assert len(found) > 18
    said = {words for path in found for match in SAID.findall(path.read_text()) for words in match if words}
    return said | {words for name in SERVICES for words in SAYS.findall((ROOT / "app" / name).read_text())}


def of_the_library() -> set[str]:
    library, words = load_library(), crew_words()
    said: set[str] = set()
    for one in library.assemblies.values():
        built = one.build
        said |= {one.title, built.trade, *built.words, *built.tools, *built.photos, *built.checks}
        said |= {words for held in built.photos_after.values() for words in held}
        said |= {parameter.label for parameter in one.parameters.values()}
    said |= {one.title for one in library.materials.values() if one.cost_class not in NO_MONEY}
    said |= {one.title for one in library.tasks.values()}
    said |= {text for one in words.cautions.values() for text in (one.title, one.words)}
    said |= {text for one in words.steps.values() for text in (one.title, one.check, one.photo)}
    said |= {one.title for one in building_stages().by_key.values()}
    said |= {*PRIVATE_LINES.values(), *WAYS.values(), *LIFTED_BY.values(), *PATTERNS.values()}
    said |= {one.partition(":")[0] for one in BORDERS.values()}
    said |= {*METHODS.values()}
    said |= {*REASONS, *(kind.value.capitalize() for kind in RunKind)}
    said |= {
        MEASURE_WORDS.get(name, name.capitalize())
        for measures in PLACE_MEASURES.values()
        for name, kind in measures.items()
        if not isinstance(kind, Special) and name not in NOT_MEASURED
    }
    for test in tomllib.loads((ROOT / "app/library/hand_over_tests.toml").read_text())["test"].values():
        said |= {test["title"], test["how"], test.get("trade", "")}
    lists = tomllib.loads((ROOT / "app/library/daily_log.toml").read_text())
    for rows in lists.values():
        for row in rows.values() if isinstance(rows, dict) else rows if isinstance(rows, list) else ():
            if isinstance(row, dict) and "title" in row:
                said.add(row["title"])
    return said - {""}


def test_no_sentence_of_a_crew_page_lacks_spanish():
    assert sorted(on_pages() - SPANISH.keys()) == []


def test_no_word_of_the_library_that_stands_on_a_crew_page_lacks_spanish():
    assert sorted(of_the_library() - SPANISH.keys()) == []


def test_units_of_amounts_have_spanish_names():
    assert sorted({name for unit in TRADE_UNITS.values() for name in (unit.one, unit.many)} - SPANISH.keys()) == []


def test_figures_and_what_is_filled_in_are_the_same_in_both():
    for english, spanish in SPANISH.items():
        filled = re.compile(r"%\((\w+)\)s|%%")
        assert Counter(filled.findall(english)) == Counter(filled.findall(spanish)), english
        numbers = [re.findall(r"\d+(?:[./,:]\d+)*", filled.sub("", text)) for text in (english, spanish)]
        assert Counter(numbers[0]) == Counter(numbers[1]), english


def test_every_sentence_is_said_once_and_none_is_empty():
    every = Counter(
        chain.from_iterable(tomllib.loads(path.read_text())["words"] for path in sorted(SHIPPED.glob("*.toml")))
    )
    assert [words for words, count in every.items() if count > 1] == []
    assert [words for words, said in SPANISH.items() if not said.strip()] == []


def test_a_sentence_is_not_its_own_translation_but_for_names_and_numbers():
    same = {words for words, said in SPANISH.items() if words == said and len(words.split()) > 1}
    assert same <= KEPT_WHOLE | {"1, 0.5, 1 1/2", "1/8 in"}


def test_words_nobody_translates_stay_and_figures_are_filled_in(tmp_path: Path):
    (tmp_path / "one.toml").write_text('[words]\n"%(n)s bags" = "%(n)s sacos"\n"bags" = "sacos"\n')
    assert catalog(tmp_path) == {"%(n)s bags": "%(n)s sacos", "bags": "sacos"}
    say = tongue("es")
    assert say("A terrace for Joss") == "A terrace for Joss"
    assert say.amount("12 bags") == "12 sacos"
    assert say.amount("4'-6\"") == "4'-6\""
    assert tongue("en")("%(what)s!", what="x") == "x!"


def test_every_refusal_in_the_catalog_is_one_the_program_says():
    """Else a sentence was reworded and its translation left behind."""
    said = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "app").rglob("*.py"))
    told = tomllib.loads((SHIPPED / "refusals.toml").read_text(encoding="utf-8"))["words"]
    assert [words for words in told if f'"{words}"' not in said] == []


SHAPED = {
    english: said
    for path in sorted(SHIPPED.glob("*.toml"))
    for english, said in tomllib.loads(path.read_text(encoding="utf-8")).get("shaped", {}).items()
}


def test_sentences_that_come_with_figures_keep_all_of_them():
    filled = re.compile(r"%\((\w+)\)s")
    for english, said in SHAPED.items():
        assert Counter(filled.findall(english)) == Counter(filled.findall(said)), english
    assert len(shapes(SHIPPED)) == len(SHAPED) > 20


@pytest.mark.parametrize("english", [one for one in SHAPED if "typed" in one or "typed" in SHAPED[one] or "“" in one])
def test_every_shaped_refusal_is_one_the_program_says(english):
    """Each stretch between its figures stands in the program."""
    said = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "app").rglob("*.py")).replace('\\"', '"')
    stretches = [part for part in re.split(r"%\(\w+\)s", english) if len(part) > 3]
    assert all(part in said for part in stretches), english


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        (
            "“lots” is no number. Type how many, as 480 or 12.5.",
            "“lots” no es un número. Escriba cuántos, como 480 o 12.5.",
        ),
        (
            "Pallets: 5,000 was typed; it must lie between 0 and 999.",
            "Tarimas: escribió 5,000; debe estar entre 0 y 999.",
        ),
        ("12 were typed; 3 of this order are here.", "Escribió 12; de este pedido hay 3 aquí."),
        ("3 pallets go back", "se devuelven 3 tarimas"),
        ("1 pallet goes back", "se devuelve 1 tarima"),
        ("4 × strip, 40 ft in all", "4 × tira, 40 ft en total"),
        ("of it 7 kept with the client", "de eso, 7 se quedan con el cliente"),
        ("for 12 days of work", "para 12 días de trabajo"),
    ],
)
def test_what_comes_with_figures_is_said_with_them(english, spanish):
    assert tongue("es")(english) == spanish
    assert tongue("en")(english) == english


def test_an_amount_in_packs_is_said_as_an_amount_too():
    assert tongue("es").amount("2 × half roll, 12 bags in all") == "2 × medio rollo, 12 sacos en total"
