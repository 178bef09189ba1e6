"""The library on disk (TOML) as values of the basis. What is wrong comes back as sentences with file and key."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, TypeVar

from app.domain.basis import Assembly, Basis, LaborClass, Material, Price, Rule, Subcontractor, Supplier, Task
from app.domain.codec import from_plain
from app.domain.errors import BadValue, OutlayError
from app.domain.findings import Finding
from app.domain.plant import Plant, PlantSize
from app.domain.reminder import Reminder
from app.domain.takeoff.assembly import check_assembly
from app.domain.takeoff.buying import check_material, check_task
from app.domain.takeoff.recipe import assembly_from, known_keys

T = TypeVar("T")
SHIPPED = Path(__file__).parents[1] / "library"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A usual caution in plain words, and the trade it defers to."""

    key: str
    title: str
    words: str
    trade: str = ""
    source: str = ""
    crew_only: bool = False  # for those who build; the proposal leaves it out


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """All that a library holds, by key (rules by id); `problems` says what could not be read."""

    assemblies: Mapping[str, Assembly] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    tasks: Mapping[str, Task] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    labor_classes: Mapping[str, LaborClass] = field(default_factory=dict)
    prices: Mapping[str, Price] = field(default_factory=dict)
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    reminders: Mapping[str, Reminder] = field(default_factory=dict)
    subcontractors: Mapping[str, Subcontractor] = field(default_factory=dict)
    plants: Mapping[str, Plant] = field(default_factory=dict)
    plant_sizes: Mapping[str, PlantSize] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    problems: tuple[str, ...] = ()

    def basis(self) -> Basis:
        """A basis of everything in the library, with a firm's defaults."""
        names = [f.name for f in fields(Basis) if f.name != "firm"]
        return Basis(**{name: getattr(self, name) for name in names})


def load_library(folder: Path = SHIPPED) -> Library:
    """Read every file of a library. A file or key that does not read is left out and said in `problems`."""
    reading = _Reading(folder)
    return Library(
        assemblies=reading.assemblies(),
        materials=reading.tables("materials", "material", Material),
        tasks=reading.tables("tasks", "task", Task),
        rules=reading.tables("rules", "rule", Rule),
        labor_classes=reading.tables("labor.toml", "labor", LaborClass),
        prices=reading.tables("prices", "price", Price),
        suppliers=reading.tables("suppliers", "supplier", Supplier),
        subcontractors=reading.tables("subcontractors", "subcontractor", Subcontractor),
        reminders=reading.tables("reminders.toml", "reminder", Reminder),
        plants=reading.tables("plants", "plant", Plant),
        plant_sizes=reading.tables("plant_sizes.toml", "plant_size", PlantSize),
        cautions=reading.tables("cautions.toml", "caution", Caution),
        problems=tuple(reading.problems),
    )


def check_library(library: Library) -> tuple[Finding, ...]:
    """Every check of an assembly, a material and a task, over everything in a library."""
    basis = library.basis()
    found = [finding for material in library.materials.values() for finding in check_material(material)]
    found += [finding for task in library.tasks.values() for finding in check_task(task)]
    found += [finding for assembly in library.assemblies.values() for finding in check_assembly(assembly, basis)]
    return tuple(found)


class _Reading:
    """One reading of a folder; collects what is wrong."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.problems: list[str] = []

    def assemblies(self) -> Mapping[str, Assembly]:
        found: dict[str, Assembly] = {}
        for path in self._files("assemblies"):
            plain = self._plain(path)
            assembly = self._try(path, "", lambda plain=plain: assembly_from(plain)) if plain else None  # type: ignore[misc]
            if assembly is None:
                continue
            if assembly.key in found:
                self.problems.append(f"{self._name(path)}: key “{assembly.key}” stands in another file too.")
            found[assembly.key] = assembly
        return found

    def tables(self, place: str, table: str, kind: type[T]) -> Mapping[str, T]:
        """All `[table.KEY]` of a file, or of every file in a folder."""
        found: dict[str, T] = {}
        for path in self._files(place):
            rows = self._rows(path, table)
            for key, row in rows.items():
                value = self._try(path, key, lambda key=key, row=row: _value(key, row, kind))  # type: ignore[misc]
                if value is None:
                    continue
                if key in found:
                    self.problems.append(f"{self._name(path)}: “{key}” stands twice.")
                found[key] = value
        return found

    def _files(self, place: str) -> list[Path]:
        path = self.folder / place
        return sorted(path.glob("**/*.toml")) if path.is_dir() else [path] * path.is_file()

    def _name(self, path: Path) -> str:
        return path.relative_to(self.folder).as_posix()

    def _plain(self, path: Path) -> Mapping[str, Any]:
        try:
            return tomllib.loads(path.read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as wrong:
            self.problems.append(f"{self._name(path)} does not read as TOML: {wrong}.")
            return {}

    def _rows(self, path: Path, table: str) -> Mapping[str, Any]:
        plain = self._plain(path)
        self._try(path, "", lambda: known_keys(plain, (table,), "this file"))
        rows = plain.get(table, {})
        return rows if isinstance(rows, dict) else {}

    def _try(self, path: Path, key: str, work: Callable[[], T]) -> T | None:
        try:
            return work()
        except OutlayError as wrong:
            place = f"{self._name(path)}, {key}" if key else self._name(path)
            self.problems.append(f"{place}: {wrong.sentence}")
            return None


def _value(key: str, row: object, kind: type[T]) -> T:
    """One table as a value: its key (a rule's id, a price's material) is the table's name."""
    if not isinstance(row, dict):
        raise BadValue("it must be a table of its own.")
    names = tuple(f.name for f in fields(kind))  # type: ignore[arg-type]
    own = names[0]
    known_keys(row, names[1:], "this table")
    return from_plain({own: key, **row}, kind)
