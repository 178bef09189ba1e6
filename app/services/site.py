"""The site: what stands there today and prices its own fate, doors and gates, what must be known before digging."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.job import PRIVATE_LINES, Answer, Existing, Fate, PlaceKind, Site, Work
from app.domain.takeoff.sprinkled import is_sprinkler
from app.interchange.existing_file import load_existing
from app.services import jobs
from app.services.jobs import OpenJob, Order, changed, made, removal
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.work_lines import PartPrice, Recipe, WorkLine, found_at, part_price, recipes_for, work_lines, works_at
from app.services.zones import find, new_work, next_position

LEAD_PAINT_BEFORE = 1978  # year: US EPA, Renovation, Repair and Painting rule (40 CFR 745)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingLine:
    """A thing that stands there today, with what its fate is built as and sells for."""

    thing: Existing
    works: tuple[WorkLine, ...]
    recipes: tuple[Recipe, ...]
    price: PartPrice
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAnswer:
    """What is known of one kind of private line."""

    key: str
    title: str
    answer: Answer


def existing_lines(view: Sheet) -> tuple[ExistingLine, ...]:
    """Everything that stands there today, in its order, but for the heads and valves of the Sprinklers sheet."""
    return tuple(_existing_line(view, thing) for thing in view.job.existing if not is_sprinkler(thing))


def _existing_line(view: Sheet, thing: Existing) -> ExistingLine:
    works = work_lines(view, works_at(view.job, PlaceKind.EXISTING, thing.id))
    cents = sum(line.cents for line in works)
    ids = (str(line.work.id) for line in works)
    return ExistingLine(
        thing=thing,
        works=works,
        recipes=recipes_for(view.basis, "existing", thing.kind),
        price=part_price(view.estimate, cents, sum(line.hours for line in works), *ids),
        findings=(*found_at(view, f"existing:{thing.id}"), *(words for line in works for words in line.findings)),
    )


def private_lines(site: Site) -> tuple[LineAnswer, ...]:
    """Every kind of private line with what is known of it; never asked counts as not known."""
    return tuple(
        LineAnswer(key=key, title=title, answer=site.private_lines.get(key, Answer.UNKNOWN))
        for key, title in PRIVATE_LINES.items()
    )


def may_have_lead_paint(site: Site) -> bool:
    """Whether the house is old enough that its paint may hold lead."""
    return site.built_year is not None and site.built_year < LEAD_PAINT_BEFORE


def add_existing(office: Office, job_id: UUID, values: Mapping[str, Any], order: Order) -> UUID:
    """Something that stands there today, with the recipe that prices its fate; returns its id."""
    opened = jobs.open_job(office, job_id)
    given = {name: value for name, value in values.items() if value is not None}
    fate, position = Fate(given["fate"]), next_position(opened.job.existing)
    thing = Existing(**{**given, "id": uuid5(order.change_id, "existing"), "fate": fate, "position": position})
    edits = [made("existing", thing), *_priced(office, opened, thing)]
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"{thing.title}: {thing.fate}"))
    return thing.id


def change_existing(
    office: Office, job_id: UUID, thing_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> None:
    """Change what is known of a thing. Another fate or kind swaps the recipe that prices it, in the same change.

    Raises: NotFound, Stale.
    """
    opened = jobs.open_job(office, job_id)
    thing: Existing = find(opened.job.existing, thing_id, "thing on the site")
    fields = {
        name: value for name, value in values.items() if value is not None or name not in {"fate", "kind", "count"}
    }
    edits: list[Edit] = [changed("existing", thing_id, version, fields)]
    after = replace(thing, fate=Fate(fields.get("fate", thing.fate)), kind=fields.get("kind", thing.kind))
    if (after.fate, after.kind) != (thing.fate, thing.kind):
        edits += _swapped(office, opened, thing, after)
    fate = f"{fields.get('title', thing.title)}: {after.fate}" if after.fate != thing.fate else ""
    jobs.save(office, job_id, tuple(edits), replace(order, what=fate or order.what or thing.title))


def recipe_of(office: Office, opened: OpenJob, thing: Existing) -> str:
    """The key of the recipe that prices a thing's fate; empty where the library names none."""
    named = load_existing(office.settings.library).get(thing.kind, {}).get(thing.fate.value, "")
    return named if named in opened.basis.assemblies else ""


def _priced(office: Office, opened: OpenJob, thing: Existing) -> list[Edit]:
    recipe = recipe_of(office, opened, thing)
    return [made("work", new_work(opened, PlaceKind.EXISTING, thing.id, recipe))] if recipe else []


def _swapped(office: Office, opened: OpenJob, before: Existing, after: Existing) -> list[Edit]:
    """Take out the recipe the old fate brought, put in the new one; what the owner added stays."""
    old, new = recipe_of(office, opened, before), recipe_of(office, opened, after)
    if old == new:
        return []
    standing: list[Work] = list(works_at(opened.job, PlaceKind.EXISTING, before.id))
    gone = [edit for work in standing if work.assembly == old for edit in removal(opened, "work", work.id)]
    return gone + ([] if any(work.assembly == new for work in standing) else _priced(office, opened, after))
