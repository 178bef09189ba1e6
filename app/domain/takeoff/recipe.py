"""An assembly as text: TOML that the owner can read and edit, and back."""

import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, fields
from typing import Any

from app.domain.basis import Assembly, Build, Drawing, Include, Inspection, Parameter, Part, TaskUse
from app.domain.codec import from_plain
from app.domain.errors import BadValue
from app.domain.takeoff.tree import nearest

_HEAD = ("key", "title", "section", "measures", "holds", "group", "suits", "words", "source")
_TABLES = ("parameter", "include", "part", "task", "drawing", "build", "safety", "care")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_NAME = re.compile(r"[a-z][a-z0-9_]*")


def parse_assembly(toml_text: str) -> Assembly:
    """Read an assembly from its TOML.

    Raises: BadValue with the line where the text is no TOML; with the nearest known key where a key is unknown.
    """
    try:
        plain = tomllib.loads(toml_text)
    except tomllib.TOMLDecodeError as wrong:
        raise BadValue(f"The recipe does not read as TOML: {wrong}.") from wrong
    return assembly_from(plain)


def assembly_from(plain: Mapping[str, Any]) -> Assembly:
    """An assembly from the tables of its TOML. Raises: BadValue, as `parse_assembly`."""
    known_keys(plain, (*_HEAD, *_TABLES), "the recipe")
    key = plain.get("key")
    if not isinstance(key, str) or not _BARE.fullmatch(key):
        raise BadValue('A recipe needs a key of letters, digits and hyphens, as in key = "unit-pavers".', field="key")
    place = f"recipe {key}"
    known_keys(_table(plain, "safety", place), ("cautions",), f"[safety] of {place}")
    built = {
        **{name: plain[name] for name in _HEAD if name in plain},
        "parameters": _parameters(_table(plain, "parameter", place), place),
        "includes": [_include(row, place) for row in _rows(plain, "include", place)],
        "parts": [_row(row, Part, f"a [[part]] of {place}") for row in _rows(plain, "part", place)],
        "tasks": [_row(row, TaskUse, f"a [[task]] of {place}") for row in _rows(plain, "task", place)],
        "drawing": _row(_table(plain, "drawing", place), Drawing, f"[drawing] of {place}"),
        "build": _build(_table(plain, "build", place), place),
        "cautions": _table(plain, "safety", place).get("cautions", []),
        "care": dict(_table(plain, "care", place)),
    }
    return from_plain(built, Assembly)


def known_keys(table: Mapping[str, Any], known: tuple[str, ...], place: str) -> None:
    """Refuse a key that is not known, with the nearest known one. Raises: BadValue."""
    for key in table:
        if key not in known:
            hint = nearest(key, known) or f" Known are {', '.join(known)}."
            raise BadValue(f"“{key}” in {place} is not a key known here.{hint}", field=key)


def _table(plain: Mapping[str, Any], name: str, place: str) -> Mapping[str, Any]:
    found = plain.get(name, {})
    if not isinstance(found, dict):
        raise BadValue(f"[{name}] of {place} must be a table, written [{name}].", field=name)
    return found


def _rows(plain: Mapping[str, Any], name: str, place: str) -> list[Mapping[str, Any]]:
    found = plain.get(name, [])
    if not isinstance(found, list) or not all(isinstance(row, dict) for row in found):
        raise BadValue(f"[[{name}]] of {place} must be a list, each written [[{name}]].", field=name)
    return found


def _row(row: Mapping[str, Any], kind: type, place: str) -> Mapping[str, Any]:
    known_keys(row, tuple(field.name for field in fields(kind)), place)
    return row


def _build(table: Mapping[str, Any], place: str) -> Mapping[str, Any]:
    for row in _rows(table, "inspections", place):
        _row(row, Inspection, f"an inspection of {place}")
    return _row(table, Build, f"[build] of {place}")


def _parameters(table: Mapping[str, Any], place: str) -> Mapping[str, Any]:
    for name, row in table.items():
        if not _NAME.fullmatch(name):
            raise BadValue(f"“{name}” of {place}: a parameter's name is of small letters, digits and _.", field=name)
        if not isinstance(row, dict):
            raise BadValue(f"Parameter {name} of {place} needs a label and a value in braces.", field=name)
        _row(row, Parameter, f"parameter {name} of {place}")
    return table


def _include(row: Mapping[str, Any], place: str) -> Mapping[str, Any]:
    """Every key of an include other than `assembly` and `when` passes a parameter."""
    own = {name: row[name] for name in ("assembly", "when") if name in row}
    passes = {name: text for name, text in row.items() if name not in own}
    if not all(isinstance(text, str) for text in passes.values()):
        raise BadValue(f'An [[include]] of {place} passes formulas in quotes, as in depth = "7*inch".')
    return {**own, "passes": passes}


def assembly_toml(assembly: Assembly) -> str:
    """Write an assembly as TOML that reads back to the same value. What stands at its default is left out."""
    lines = [
        f"{name} = {_written(getattr(assembly, name))}"
        for name in _HEAD
        if name == "measures" or _is_said(assembly, name)
    ]
    if assembly.parameters:
        lines += ["", "[parameter]"]
        lines += [f"{_key(name)} = {{ {_inline(one)} }}" for name, one in assembly.parameters.items()]
    for include in assembly.includes:
        passes = [f"{_key(name)} = {_written(text)}" for name, text in include.passes.items()]
        lines += ["", "[[include]]", f"assembly = {_written(include.assembly)}", *passes]
        lines += [f"when = {_written(include.when)}"] if include.when else []
    for table, rows in (("part", assembly.parts), ("task", assembly.tasks)):
        for row in rows:
            lines += ["", f"[[{table}]]", *_said(row)]
    lines += _tables(assembly)
    return "\n".join(lines) + "\n"


def _tables(assembly: Assembly) -> list[str]:
    lines: list[str] = []
    for table, value in (("drawing", assembly.drawing), ("build", assembly.build)):
        if said := _said(value):
            lines += ["", f"[{table}]", *said]
    if assembly.cautions:
        lines += ["", "[safety]", f"cautions = {_written(assembly.cautions)}"]
    if assembly.care:
        lines += ["", "[care]", *(f"{_key(season)} = {_written(words)}" for season, words in assembly.care.items())]
    return lines


def _is_said(value: Any, name: str) -> bool:
    one = next(field for field in fields(value) if field.name == name)
    default = one.default if one.default_factory is MISSING else one.default_factory()
    return bool(getattr(value, name) != default)


def _said(value: Drawing | Build | Part | TaskUse | Parameter | Include | Inspection) -> list[str]:
    names = [field.name for field in fields(value) if _is_said(value, field.name)]
    return [f"{name} = {_written(getattr(value, name))}" for name in names]


def _inline(parameter: Parameter) -> str:
    return ", ".join(_said(parameter))


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _written(name)


def _written(value: object) -> str:
    """A TOML value. JSON's text escapes are TOML's, but for the delete sign."""
    if isinstance(value, tuple | list):
        return f"[{', '.join(_written(item) for item in value)}]"
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{_key(name)} = {_written(one)}' for name, one in value.items())} }}"
    if isinstance(value, Inspection):
        return f"{{ {', '.join(_said(value))} }}"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    return repr(value)
