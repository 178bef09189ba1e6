"""Every figure on our face is a door: it opens, and what stands behind it is the figure itself."""

import re
from collections.abc import Iterator
from decimal import Decimal
from html import unescape
from pathlib import Path
from uuid import UUID

import pytest

from app.domain.plan.shapes import rectangle
from app.services import jobs, zones
from app.services.build import build_sheet
from app.services.deciding import decide_edge
from app.services.explaining import explained
from app.services.jobs import changed
from app.services.office import Office
from app.services.payments import payments
from app.services.sheets import sheet
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

DOOR = re.compile(r'<a class="door" href="([^"]+)"[^>]*>(.*?)</a>', re.DOTALL)
MONEY = re.compile(r"\$[\d,]+(?:\.\d\d)?")


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    """The begun job with a third zone that meets the terrace, a level, an access, a wish of the first call."""
    job_id = begun_job(office)
    walk = zones.NewZone(title="Walk", kind="path", outline=rectangle(4, 14, at=(18, 0)), assembly="gravel-surface")
    zones.add_zone(office, job_id, walk, order())
    opened = jobs.open_job(office, job_id)
    terrace = opened.job.chosen(opened.job.zones[0])
    assert terrace is not None
    site = {"access_width": 4.0, "datum": "left rear corner of the house"}
    edits = (
        changed("alternative", terrace.id, 1, {"level": -0.5}),
        changed("site", opened.job.site.id, 1, site),
        changed("job", job_id, 1, {"early": {"fire": "small"}, "budget_high_cents": 90_000_000}),
    )
    jobs.save(office, job_id, edits, order())
    return job_id


@pytest.fixture
def here(web: Browser, yard: UUID):
    return lambda path: web.get(f"/jobs/{yard}/{path}").text


def doors(page: str, figure: str) -> list[str]:
    """What stands in the doors to a figure."""
    return [text_of(words) for href, words in DOOR.findall(page) if unescape(href).endswith(f"/why/{figure}")]


def pages(office: Office, yard: UUID) -> list[str]:
    job = jobs.open_job(office, yard).job
    first = job.zones[0].id
    whole = [
        "client",
        "site",
        "plan",
        "palette",
        "checks",
        "estimate",
        "phases",
        "proposal",
        "choices",
        "build",
        "compare",
        "drivers",
        "past",
        "log",
        "money",
        "orders",
        "log?by=zone",
        "log?by=all",
    ]
    whole.append("price")
    by = [f"estimate?by={one}&lines=all" for one in ("zone", "trade", "class")]
    return [*whole, *by, f"plan?focus=zone:{first}", f"plan?focus=edge:{first}:{job.zones[2].id}"]


def test_every_door_of_every_sheet_opens(web: Browser, office: Office, yard: UUID, here) -> None:
    found = {unescape(href) for path in pages(office, yard) for href, _ in DOOR.findall(here(path))}
    assert len(found) > 100
    closed = [href for href in found if web.get(href, headers={"hx-request": "true"}).status_code != 200]
    assert closed == []


def test_no_money_stands_on_a_sheet_without_a_door(office: Office, yard: UUID, here) -> None:
    """But for what was typed there, and what was offered: its pages are the door."""
    for path in pages(office, yard):
        main = re.sub(r"<svg.*?</svg>", "", here(path).split("<main", 1)[1], flags=re.DOTALL)
        bare = re.sub(r'value="[^"]*"|<p class="hint".*?</p>|<option.*?</option>', "", DOOR.sub("", main))
        assert [one for one in MONEY.findall(bare) if one != "$0"] == [], path


def test_length_of_a_shared_edge_opens_to_its_stretches(office: Office, yard: UUID, here) -> None:
    job = jobs.open_job(office, yard).job
    terrace, walk = job.zones[0].id, job.zones[2].id
    figure = f"measure:edge:{terrace}:{walk}:length"
    assert doors(here(f"plan?focus=zone:{terrace}"), figure) == ["14'-0\""]
    assert doors(here(f"plan?focus=edge:{terrace}:{walk}"), figure) == ["14'-0\""]
    trace = explained(office, sheet(office, yard), figure)
    assert (trace.result, trace.unit, [one.result for one in trace.steps]) == (14.0, "ft", [14.0])
    ground = explained(office, sheet(office, yard), f"measure:edge:{terrace}:ground:length")
    assert ground.result == pytest.approx(2 * (18 + 14) - 14)


def test_typed_length_of_an_edge_says_so(office: Office, yard: UUID, web: Browser) -> None:
    job = jobs.open_job(office, yard).job
    terrace, walk = job.zones[0].id, job.zones[2].id
    edge = decide_edge(office, yard, terrace, str(walk), "nothing", order())
    jobs.save(office, yard, (changed("edge", edge, 1, {"length": 13.5}),), order())
    for own, other in ((terrace, walk), (walk, terrace)):
        trace = explained(office, sheet(office, yard), f"measure:edge:{own}:{other}:length")
        assert (trace.result, trace.expression) == (13.5, "as typed")


def test_level_of_a_zone_opens_to_the_datum(office: Office, yard: UUID, here) -> None:
    terrace = jobs.open_job(office, yard).job.zones[0].id
    figure = f"measure:zone:{terrace}:level"
    assert doors(here(f"plan?focus=zone:{terrace}"), figure) == ['-6"']
    trace = explained(office, sheet(office, yard), figure)
    assert trace.result == -0.5
    assert "left rear corner of the house" in trace.source


def test_what_slows_the_work_opens_to_its_table(office: Office, yard: UUID, here) -> None:
    assert doors(here("estimate"), "factor:access") == ["× 1.2"]
    trace = explained(office, sheet(office, yard), "factor:access")
    assert (trace.result, trace.expression) == (1.2, "4 ft at the narrowest: by barrow")
    assert (
        trace.filled == "from 0 ft: × 1.35 (by hand), from 3 ft: × 1.2 (by barrow), from 5 ft: × 1 (a machine passes)"
    )
    assert trace.steps[0].expression == "from 3 ft, by barrow: × 1.2"


@pytest.mark.parametrize("by", ["zone", "trade", "class"])
def test_direct_cost_of_a_group_is_the_sum_of_its_lines(office: Office, yard: UUID, here, by: str) -> None:
    view = sheet(office, yard)
    figures = {
        unescape(href).split("/why/")[1]
        for href, _ in DOOR.findall(here(f"estimate?by={by}&lines=all"))
        if "direct:" in href
    }
    assert figures
    found = [explained(office, view, one.replace("%20", " ")) for one in figures]
    for trace in found:
        assert sum(round(one.result * 100) for one in trace.steps) == round(trace.result * 100)
    assert sum(round(one.result * 100) for one in found) == view.estimate.build_up.step("direct").cents


def test_amounts_on_build_are_what_is_ordered(office: Office, yard: UUID, here) -> None:
    view = sheet(office, yard)
    page = here("build")
    lists = build_sheet(office, view).orders
    lines = [(one, line) for one in lists for line in one.lines]
    assert len(lines) > 10
    for one, line in lines:
        figure = f"built:ordered:{line.material}:{one.phase_id}"
        assert explained(office, view, figure).result == pytest.approx(line.bought), line.title
        assert doors(page, figure), line.title


def test_hours_on_build_are_those_of_the_crew_sheets(office: Office, yard: UUID) -> None:
    view = sheet(office, yard)
    crews = [one for one in build_sheet(office, view).crews if not one.empty]
    assert [one for one in crews if one.zone_id is None]
    for one in crews:
        figure = f"built:hours:{one.zone_id}" if one.zone_id else "built:crew"
        trace = explained(office, view, figure)
        assert trace.result == pytest.approx(one.hours), one.title
        assert sum(step.result for step in trace.steps) == pytest.approx(one.hours)


def test_amount_and_hours_of_a_line_open_to_themselves(office: Office, yard: UUID) -> None:
    view = sheet(office, yard)
    tried = {"material": 0, "task": 0}
    for line in view.estimate.lines:
        if line.kind in tried:
            kind, figure = ("wanted", line.amount) if line.kind == "material" else ("worked", line.hours)
            if not figure:
                continue
            trace = explained(office, view, f"{kind}:{line.work_id}:{line.index}")
            assert trace.result == pytest.approx(figure), line.title
            tried[line.kind] += 1
    assert min(tried.values()) > 5


def test_payments_open_to_their_share_and_the_contract_sum(office: Office, yard: UUID) -> None:
    view = sheet(office, yard)
    due = payments(view)
    traces = [explained(office, view, f"payment:{at}") for at in range(len(due.lines))]
    assert [round(one.result * 100) for one in traces] == [one.cents for one in due.lines]
    assert round(explained(office, view, "payment:sum").result * 100) == due.sum_cents
    assert explained(office, view, "contract") == explained(office, view, "payment:sum")
    assert "deposit share" in traces[0].expression


def test_margin_markup_and_profit_left_open_to_their_numbers(office: Office, yard: UUID, here) -> None:
    view = sheet(office, yard)
    assert explained(office, view, "share:margin").result == pytest.approx(16)
    assert explained(office, view, "share:markup").result == pytest.approx(100 * 16 / 84)
    left = explained(office, view, "share:left").result
    profit = view.estimate.build_up.step("profit").cents + view.estimate.build_up.step("rounding").cents
    assert left == pytest.approx(100 * profit / view.estimate.price_cents)
    assert doors(here("estimate"), "share:margin") == ["16%"]


def test_another_way_opens_to_both_prices(office: Office, yard: UUID) -> None:
    zone = jobs.open_job(office, yard).job.zones[0]
    zones.copy_alternative(office, yard, zone.id, "In gravel", order())
    view = sheet(office, yard)
    other = next((a for a in view.job.alternatives if a.zone_id == zone.id and a != view.job.chosen(zone)), None)
    assert other is not None
    trace = explained(office, view, f"way:{other.id}")
    assert trace.result == pytest.approx(trace.steps[0].result - trace.steps[1].result)
    assert Decimal(str(trace.steps[1].result)) * 100 == view.estimate.price_cents


def test_early_range_opens_to_the_price_it_lies_around(office: Office, yard: UUID) -> None:
    view = sheet(office, yard)
    one, together = (explained(office, view, f"early:{key}") for key in ("fire", "all"))
    assert one.result == together.result > 0
    assert "outer whole thousand" in one.expression


@pytest.mark.parametrize(
    "figure",
    ["measure:edge:x:y:length", "factor:heat", "direct:zone:none", "direct:moon:x", "payment:99", "payment:x",
     "payment:²", "way:x", "early:water", "built:nonsense", "built:ordered:none:", "share:all", "wanted:x:0", "worked::"],
)  # fmt: skip
def test_figure_that_is_none_is_a_sentence(web: Browser, yard: UUID, figure: str) -> None:
    answer = web.get(f"/jobs/{yard}/why/{figure}")
    assert answer.status_code == 404
    assert "Open the" in text_of(answer.text)
