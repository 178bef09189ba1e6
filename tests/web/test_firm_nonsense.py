"""Nonsense on every form of the firm, the price book, the library and the first call: a sentence, never a failure."""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from app.config import Settings
from app.domain.job import ZoneKind
from app.interchange.library_file import load_library
from app.services import jobs
from app.services.office import open_office
from app.web.forms.book import BOOK
from app.web.forms.book_fields import OVERHEAD_CLASSES
from app.web.forms.crew_day import AMOUNTS
from app.web.forms.fields import Field
from tests.conftest import TestClock
from tests.web.conftest import Browser

NONSENSE = ["9" * 6_000, "-1", "1e999", "NaN", "12/0", "🪴", "<script>alert(1)</script>", "a\x00\x1b[2J", "\ud800", "{{ 7*7 }}"]  # fmt: skip


@pytest.fixture(scope="module")
def web(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    folder: Path = tmp_path_factory.mktemp("nonsense")
    opened = open_office(Settings(data=folder), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def inputs(kind: str) -> list[str]:
    plain = [one.name for one in BOOK[kind] if isinstance(one, Field)]
    more = {
        "firm": [
            *[f"overhead.{one}" for one in OVERHEAD_CLASSES],
            *[f"crew_day.{one}" for one in (*AMOUNTS, "days_a_week", "overtime_extra", "people.crew", "people.nobody")],
            "warranty_by_group.irrigation",
            *[f"seasons.7.{one}" for one in ("cause", "factor")],
        ],
        "labor_class": ["burden.0.item", "burden.0.share"],
        "task": [f"{name}.{part}" for name in ("hours", "setup") for part in ("low", "likely", "high")],
    }
    return plain + more.get(kind, [])


def addresses(web: Browser) -> list[tuple[str, list[str]]]:
    basis = web.office.basis()
    material, task = next(iter(basis.materials)), next(iter(basis.tasks))
    page = ["title", "text", "reviewed_by", "reviewed_on", "version", "change_id"]
    job_id = jobs.begin_job(web.office, jobs.NewJob(name="Priya Lindqvist"), jobs.Order(change_id=uuid4()))
    wishes = [f"early.{kind.value}.{part}" for kind in ZoneKind for part in ("size", "area", "was")]
    return [
        (f"/firm/firm/{web.office.firm_id}", inputs("firm")),
        (f"/firm/first/firm/{web.office.firm_id}", [*inputs("firm"), "wage.crew", "wage.owner"]),
        ("/firm/labor_class/crew", inputs("labor_class")),
        ("/firm/terms", page),
        ("/firm/notice/new", page),
        ("/firm/notice/0/remove", ["version"]),
        (f"/prices/price/{material}", inputs("price")),
        ("/prices/supplier/new", inputs("supplier")),
        ("/prices/material/new", [*inputs("material"), "unit_price"]),
        (f"/library/material/{material}", inputs("material")),
        (f"/library/task/{task}", inputs("task")),
        ("/library/assembly/seat-wall", ["text"]),
        (f"/jobs/{job_id}/client/job/{job_id}", [*wishes, "design_fee_cents", "design_revisions", "budget_low_cents"]),
        (f"/jobs/{job_id}/client/need/new", ["words", "must", "stay", "zone_ids"]),
    ]


@pytest.mark.parametrize("nonsense", NONSENSE, ids=[ascii(one[:12]) for one in NONSENSE])
def test_nonsense_in_every_field_is_answered_in_words(web: Browser, nonsense: str) -> None:
    sent = nonsense.encode("utf-8", "surrogatepass").decode("utf-8", "replace")
    alone = nonsense in NONSENSE[:2]  # one field at a time, too
    for path, names in addresses(web):
        for fields in (dict.fromkeys(names, sent), *({name: sent} for name in names if alone)):
            answer = web.post(path, fields, htmx=True)
            assert answer.status_code < 500, (path, list(fields), answer.text[-400:])
            assert "<script>alert" not in answer.text, path
    for page in ("/firm", "/prices", "/library?kind=material", "/library?kind=task"):
        assert web.get(page).status_code == 200, page
