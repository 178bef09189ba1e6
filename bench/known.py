"""Pages over many jobs: 400 signed ones with 40 tasks and 60 entries of hours each, beside the bare sum of rows."""

import tempfile
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from sqlalchemy import insert, text

from app.config import Settings
from app.db.repositories.kept_papers import EDITION
from app.db.tables.kept import KEPT_MATERIAL, KEPT_PAPER, KEPT_TASK
from app.db.tables.office import REVISION
from app.db.tables.things import TABLES
from app.domain.basis import Basis, Material, Task
from app.domain.job import (
    CameLine,
    Client,
    CountedMaterial,
    Delivery,
    Head,
    LoggedHours,
    Phase,
    SaidDone,
    SentLine,
    Stage,
    SupplyOrder,
)
from app.services import known, taught, wasted
from app.services.changes import fields_of
from app.services.office import Office, open_office
from bench import Result
from bench.estimate import best

JOBS, TASKS, ENTRIES, MATERIALS = 400, 40, 60, 10
BARE = text("SELECT job_id, zone, phase, task, SUM(quarters) FROM logged_hours GROUP BY job_id, zone, phase, task")
PAGES: dict[str, Callable[[Office], Any]] = {
    "what the jobs taught": taught.taught,
    "what was lost of materials": wasted.wasted,
    "hours against the bid": known.known_hours,
    "margin bid and made": known.known_margins,
    "who signs": known.known_wins,
    "crews ahead": known.known_crews,
}


def run() -> list[Result]:
    """Each page's own work, and the bare sum."""
    tasks = {f"t{n}": Task(key=f"t{n}", title=f"Task {n}", unit="foot**2", hours=(1, 2, 3)) for n in range(TASKS)}
    stone = {
        f"m{n}": Material(key=f"m{n}", title=f"Stone {n}", role="r", buy="ton", loss=0.05) for n in range(MATERIALS)
    }
    with tempfile.TemporaryDirectory() as folder:
        office = open_office(Settings(data=Path(folder)), Basis(tasks=tasks, materials=stone))
        _fill(office)
        bare, *found = best(lambda: _bare(office), *[_asked(one, office) for one in PAGES.values()])
        office.database.close()
    rows = [
        Result(name=f"{JOBS} jobs: {name}", value=value, unit="ms", most=1000)
        for name, value in zip(PAGES, found, strict=True)
    ]
    return [
        Result(name=f"floor: bare sum of {JOBS * ENTRIES} entries", value=bare, unit="ms"),
        *rows,
        Result(name="the slowest of them over the bare sum", value=max(found) / bare, unit="×", most=20),
    ]


def _asked(page: Callable[[Office], Any], office: Office) -> Callable[[], Any]:
    return lambda: page(office)


def _bare(office: Office) -> int:
    with office.database.read() as connection:
        return len(connection.execute(BARE).all())


def _fill(office: Office) -> None:
    rows: dict[str, list[dict[str, Any]]] = {}
    for n in range(JOBS):
        _job(office, n, rows)
    tables = {"revision": REVISION, "kept_paper": KEPT_PAPER, "kept_task": KEPT_TASK, "kept_material": KEPT_MATERIAL}
    with office.database.write() as connection:
        for name, held in rows.items():
            connection.execute(insert(tables.get(name, TABLES.get(name))), held)  # type: ignore[arg-type]


def _job(office: Office, n: int, rows: dict[str, list[dict[str, Any]]]) -> None:
    base, day = n * 1000 + 1, date(2027, 1, 4) + timedelta(days=n)
    stage = Stage.DONE if n % 4 else Stage.BUILDING
    client, paper = Client(id=UUID(int=base), name=f"Caller {n}", found_us=f"Neighbor {n % 9}"), f"paper-{n}"
    head = Head(id=UUID(int=base + 1), client_id=client.id, number=n + 1, title=f"Yard {n}", stage=stage)
    phase = Phase(id=UUID(int=base + 2), start=day, done=day + timedelta(days=12))
    job_id, at = str(head.id), {"zone": "job", "phase": str(phase.id)}
    things: list[tuple[str, Any]] = [("client", client), ("job", head), ("phase", phase)]
    for m in range(ENTRIES):
        one = LoggedHours(
            id=UUID(int=base + 10 + m), day=day, person="Ada", quarters=9 + n % 7, task=f"t{m % TASKS}", **at
        )
        things.append(("logged_hours", one))
    for m in range(TASKS):
        said = SaidDone(id=UUID(int=base + 100 + m), day=day, percent=100, task=f"t{m}", **at)
        things.append(("said_done", said))
    things += list(_bought(base, day))
    for kind, value in things:
        own = {"firm_id": office.firm_id, "thing_id": str(value.id), "version": 1, "last_change": ""}
        of = {"job_id": None if kind == "client" else job_id}
        rows.setdefault(kind, []).append({**own, **of, **fields_of(value, kind)})
    for m in range(MATERIALS):
        amounts = {"material": f"m{m}", "way": "measured", "measured": 40.0, "lost": 2.0, "kept": 0.0}
        rows.setdefault("kept_material", []).append({"revision_id": paper, "job_id": job_id, **amounts})
    told = {"firm_id": office.firm_id, "job_id": job_id, "number": 1, "kind": "proposal", "state": "signed"}
    rest = {"issued_at": f"{day}T08:00:00+00:00", "price_cents": 5_000_000 + n, "job_counter": 1, "signers": "[]"}
    rows.setdefault("revision", []).append({"id": paper, **told, **rest})
    costs = {"labor_cents": 1_000_000, "other_cents": 2_000_000, "tax_cents": 0}
    kept = {"revision_id": paper, "firm_id": office.firm_id, "job_id": job_id, "edition": EDITION}
    rows.setdefault("kept_paper", []).append({**kept, **costs})
    for m in range(TASKS):
        amounts = {
            "amount": 1.5,
            "places": 1,
            "slowed_amount": 1.5,
            "slowed_places": 1.0,
            "hours": 3.0,
            "cents": 15_000,
        }
        named = {"task": f"t{m}", "title": f"Task {m}", "unit": "foot**2", "crew": "crew", "own": False}
        rows.setdefault("kept_task", []).append({"revision_id": paper, "job_id": job_id, **at, **named, **amounts})


def _bought(base: int, day: date) -> Iterator[tuple[str, Any]]:
    """One order of all materials, that came, and what was counted of them at the end."""
    keys = [f"m{m}" for m in range(MATERIALS)]
    lines = tuple(SentLine(material=key, title=key, unit="ton", amount=46.0) for key in keys)
    order = SupplyOrder(id=UUID(int=base + 200), lines=lines, sent_on=day)
    yield "supply_order", order
    came = tuple(CameLine(material=key, came=46.0) for key in keys)
    yield "delivery", Delivery(id=UUID(int=base + 201), order_id=order.id, day=day, lines=came)
    for m, key in enumerate(keys):
        yield "counted_material", CountedMaterial(id=UUID(int=base + 210 + m), material=key, day=day, left_over=3.0)
