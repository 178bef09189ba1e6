"""The library: recipes, materials and tasks; the firm's own beside the shipped ones, checked when they are saved."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from app.domain.basis import Assembly, Material, Task
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound
from app.domain.findings import Finding
from app.domain.palette.color import mean_of
from app.domain.takeoff.assembly import check_assembly
from app.domain.takeoff.buying import check_material, check_task
from app.domain.takeoff.recipe import assembly_toml, parse_assembly
from app.services import book
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import BASIS_FIELDS, Office

KINDS = ("assembly", "material", "task")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line of the list: a recipe, material or task; `own` where the firm changed or made it."""

    key: str
    title: str
    aside: str
    own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """One kind of thing in groups."""

    groups: tuple[tuple[str, tuple[Entry, ...]], ...]
    own: Own


def shelf(office: Office, kind: str, search: str = "") -> Shelf:
    """The things of a kind whose title, group or key holds every word of a search. Raises: NotFound."""
    if kind not in KINDS:
        raise NotFound("The library holds recipes, materials and tasks.")
    versions = book.own(office, kind)
    found = []
    for key, one in getattr(office.basis(), BASIS_FIELDS[kind]).items():
        group, aside = _place(one)
        text = f"{one.title} {group} {aside} {key}".casefold()
        if all(word in text for word in search.casefold().split()):
            entry = Entry(key=key, title=one.title, aside=aside, own=bool(versions.version(kind, key)))
            found.append((group, entry))
    found.sort(key=lambda pair: (pair[0], pair[1].title))
    groups = groupby(found, lambda pair: pair[0])
    return Shelf(groups=tuple((name, tuple(entry for _, entry in pairs)) for name, pairs in groups), own=versions)


def _place(one: Assembly | Material | Task) -> tuple[str, str]:
    if isinstance(one, Assembly):
        return one.group or "other", one.section
    if isinstance(one, Material):
        return one.role, one.buy
    return one.crew, f"per {one.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A thing of the library with the shipped one beside it, where there is one, and what is wrong with it."""

    value: Any
    shipped: Any
    own: Own
    findings: tuple[Finding, ...]
    text: str = ""  # a recipe as text
    shipped_text: str = ""


def open_entry(office: Office, kind: str, key: str) -> Opened:
    """A thing by kind and key. Raises: NotFound."""
    basis = office.basis()
    value = getattr(basis, BASIS_FIELDS[kind]).get(key) if kind in KINDS else None
    if value is None:
        raise NotFound("The library has no such thing (any more).")
    shipped = getattr(office.shipped, BASIS_FIELDS[kind]).get(key)
    return Opened(
        value=value,
        shipped=shipped,
        own=book.own(office, kind),
        findings=_check(office, value),
        text=assembly_toml(value) if kind == "assembly" else "",
        shipped_text=assembly_toml(shipped) if kind == "assembly" and shipped else "",
    )


def _check(office: Office, value: Any) -> tuple[Finding, ...]:
    if isinstance(value, Assembly):
        return check_assembly(value, office.basis())
    return check_material(value) if isinstance(value, Material) else check_task(value)


def _refuse(found: tuple[Finding, ...], field: str) -> None:
    if found:
        raise BadValue(" ".join(dict.fromkeys(one.what for one in found)), field=field)


def save_recipe(office: Office, key: str, version: int, text: str, order: Order) -> str:
    """A recipe as its text says, as the firm's own; another key in the text makes a recipe beside. Returns its key.

    Raises: BadValue with every sentence about what cannot be read or worked out; Stale.
    """
    try:
        recipe = parse_assembly(text)
    except BadValue as wrong:
        raise BadValue(wrong.sentence, field="text") from wrong
    _refuse(check_assembly(recipe, office.basis()), "text")
    what = replace(order, what=f"Recipe: {recipe.title}"[:60])
    fields = {name: value for name, value in to_plain(recipe).items() if name != "key"}
    if recipe.key == key or recipe.key in office.basis().assemblies:
        known = version if recipe.key == key else 0
        book.set_fields(office, "assembly", recipe.key, known, fields, what)
    else:
        book.make(office, "assembly", recipe.key, recipe, what)
    return recipe.key


def save_thing(office: Office, kind: str, key: str, version: int, fields: Mapping[str, Any], order: Order) -> None:
    """Fields of a material or task, as the firm's own. Raises: BadValue, NotFound, Stale."""
    now = open_entry(office, kind, key).value
    if fields.get("blend") and not fields.get("color", now.color):
        fields = {**fields, "color": mean_of(fields["blend"])}
    changed = replace(now, **fields)
    _refuse(_check(office, changed), "form")
    book.set_fields(
        office, kind, key, version, fields, replace(order, what=f"{kind.capitalize()}: {changed.title}"[:60])
    )


def back_to_shipped(office: Office, kind: str, key: str, order: Order) -> bool:
    """Take the firm's own out; whether a shipped one stands in its place. Raises: NotFound."""
    if kind not in KINDS:
        raise NotFound("The library holds recipes, materials and tasks.")
    book.give_up(office, kind, key, order)
    return key in getattr(office.shipped, BASIS_FIELDS[kind])
