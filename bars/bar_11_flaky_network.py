"""A browser on a network that fails: what was typed goes in, once.

A proxy before the server cuts almost a third of all saves, half of them before they arrive and half after they are
committed, so that the answer is lost. Two tabs save in turn; each is reloaded in the middle of a save, now and then.
"""

import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import UUID

from playwright.sync_api import Page, expect, sync_playwright

from app.db.repositories import record
from app.services.jobs import open_job
from bars import Figure
from bars.saving import opened, prepared
from tests.browser.conftest import CHROMIUM, QUIET
from tests.cutting import Line, line_to, now_and_then
from tests.served import serving

SAVES, FEW = 100, 16
CUTS = 0.3
RELOAD = 13  # each so many saves a tab is reloaded right after one
FIELDS = ("Phone", "How they found us")
# By what the store itself has on the disk: the program's own event is heard for what went in, too, and for other tabs.
COUNTED = """
window.kept = 0;
const add = IDBObjectStore.prototype.add;
IDBObjectStore.prototype.add = function counted(...given) {
  this.transaction.addEventListener('complete', () => { window.kept += 1; });
  return add.apply(this, given);
};
"""


@contextmanager
def tabs(line: Line, job_id: UUID) -> Iterator[tuple[Page, Page]]:
    """Two tabs of one browser at the client sheet."""
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        context = browser.new_context()
        context.add_init_script(COUNTED)
        made = (context.new_page(), context.new_page())
        for page in made:
            page.goto(f"{line.address}/jobs/{job_id}/client")
        yield made
        browser.close()


def save(page: Page, number: int) -> None:
    """One save: a wish more, or a field of the client; kept on the device when this returns."""
    before = page.evaluate("() => window.kept")
    if number % 5 == 4:  # a field for each tab: two who change one field are asked, which is another bar's matter
        page.get_by_label(FIELDS[number % 2]).fill(f"570 {number:04}")
        page.get_by_label("Email").focus()
    else:
        page.get_by_label("In their words").fill(f"wish {number:04}")
        page.get_by_role("button", name="Nice to have", exact=True).click()
    for _ in range(2000):
        if page.evaluate("() => window.kept") > before:
            return
        page.wait_for_timeout(10)
    raise RuntimeError("a change was not kept on the device")


def flaky(line: Line, job_id: UUID, saves: int) -> None:
    """Save in turn on two tabs, then wait until all is in."""
    with tabs(line, job_id) as both:
        for number in range(saves):
            page = both[number % 2]
            save(page, number)
            if number % RELOAD == RELOAD - 1:
                page.reload()
            else:
                expect(page.locator(".htmx-request")).to_have_count(0, timeout=60_000)
        line.cut = lambda _method, _path: ""
        for page in both:
            page.reload()
            expect(page.locator("html[data-unsent]")).to_have_count(0, timeout=120_000)


def measure(few: bool) -> tuple[Figure, ...]:
    """How many saves are missing, and how many were made twice."""
    saves = FEW if few else SAVES
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        job_id = prepared(data)
        with serving(data) as server, line_to(server.address, now_and_then(CUTS)) as line:
            flaky(line, job_id, saves)
            cuts = Counter(how for _, _, how in line.passed if how)
        wished, phones = _saved(data, job_id)
    wanted = [f"wish {number:04}" for number in range(saves) if number % 5 != 4]
    dialed = [f"570 {number:04}" for number in range(saves) if number % 5 == 4]
    doubled = sum(wished.values()) - len(wished) + sum(phones.values()) - len(phones)
    missing = [one for one in wanted if one not in wished] + [one for one in dialed if one not in phones]
    note = f"{saves} saves on two tabs, {cuts['before']} cut before and {cuts['after']} after the commit"
    gone = "".join(f", {one}" for one in missing)
    return (
        Figure(
            what="saves lost on a failing network",
            value=len(missing),
            limit=0,
            note=note + gone,
        ),
        Figure(what="saves doubled on a failing network", value=doubled, limit=0, note=note),
    )


def _saved(data: Path, job_id: UUID) -> tuple[Counter[str], Counter[str]]:
    """The wishes in the job, and every phone number that was ever saved, by how often."""
    office = opened(data)
    with office.database.read() as connection:
        entries = record.history(connection, str(job_id), limit=10_000)
    edits = [edit for entry in entries for edit in entry.change().edits]
    typed = [str(text) for edit in edits if edit.kind == "client" for text in (edit.after or {}).values()]
    phones = Counter(text for text in typed if text.startswith("570 "))
    wished = Counter(need.words for need in open_job(office, job_id).job.needs)
    office.database.close()
    return wished, phones
