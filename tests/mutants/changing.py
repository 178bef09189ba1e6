"""One small wrong change at a time in a module: a comparison, an operator, a number, a truth turned round."""

import ast
import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
REVERSED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
}
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
CALLED = {"min": "max", "max": "min", "floor": "ceil", "ceil": "floor", "any": "all", "all": "any", "sorted": "list"}


@dataclass(frozen=True)
class Mutant:
    """One wrong change: where and what; the module with it is written only when it is asked for."""

    line: int
    what: str
    tree: ast.Module
    place: int  # of `_places`
    number: int  # of `_changes` there

    @property
    def code(self) -> str:
        """The module with the change."""
        changed = copy.deepcopy(self.tree)
        _what, change = _changes(list(_places(changed))[self.place])[self.number]
        change()
        return ast.unparse(changed)

    def line_text(self, file: Path) -> str:
        """The line as it is written."""
        return file.read_text().splitlines()[self.line - 1].strip()


def mutants(source: str) -> list[Mutant]:
    """Every mutant of a module. Annotations, decorators, docstrings and texts are left alone."""
    tree = ast.parse(source)
    return [
        Mutant(node.lineno, what, tree, place, number)
        for place, node in enumerate(_places(tree))
        for number, (what, _change) in enumerate(_changes(node))
    ]


def _places(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes that count, in order."""
    for name, value in ast.iter_fields(tree):
        if name in {"annotation", "returns", "decorator_list", "type_params"}:
            continue
        for node in value if isinstance(value, list) else [value]:
            if not isinstance(node, ast.AST) or _is_type(node):
                continue
            yield node
            yield from _places(node)


def _is_type(node: ast.AST) -> bool:
    """Whether a node only names a type (`Key: TypeAlias = …`, `float | int` of an isinstance)."""
    if isinstance(node, ast.AnnAssign):
        return getattr(node.annotation, "id", "") == "TypeAlias"
    return isinstance(node, ast.Call) and getattr(node.func, "id", "") in {"isinstance", "TypeVar", "NamedTuple"}


def _changes(node: ast.AST) -> list[tuple[str, Callable[[], None]]]:  # noqa: PLR0911 - one line a kind of node
    """What may go wrong at a node."""
    match node:
        case ast.Compare(ops=ops):
            return [
                (f"{type(op).__name__} → {new.__name__}", lambda at=at, new=new: ops.__setitem__(at, new()))
                for at, op in enumerate(ops)
                for new in (table.get(type(op)) for table in (COMPARED, REVERSED))
                if new
            ]
        case ast.BinOp() | ast.AugAssign() if (new := COUNTED.get(type(node.op))) and not _text(node):
            return [(f"{type(node.op).__name__} → {new.__name__}", lambda: setattr(node, "op", new()))]
        case ast.BoolOp():
            new = ast.Or if isinstance(node.op, ast.And) else ast.And
            return [(f"{type(node.op).__name__} → {new.__name__}", lambda: setattr(node, "op", new()))]
        case ast.UnaryOp(op=ast.USub()):
            return [("minus gone", lambda: setattr(node, "op", ast.UAdd()))]
        case ast.UnaryOp(op=ast.Not()):
            return [("not gone", lambda: _unnot(node))]
        case ast.Constant(value=bool()):
            return [(f"{node.value} → {not node.value}", lambda: setattr(node, "value", not node.value))]
        case ast.Constant(value=int() | float()):
            return [(f"{node.value} → {node.value + 1}", lambda: setattr(node, "value", node.value + 1))]
        case ast.Call(func=ast.Name(id=name)) if name in CALLED:
            return [(f"{name} → {CALLED[name]}", lambda: _call(node, CALLED[name]))]
        case _:
            return []


def _text(node: ast.BinOp | ast.AugAssign) -> bool:
    sides = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
    return any(isinstance(side, ast.JoinedStr) or isinstance(getattr(side, "value", None), str) for side in sides)


def _unnot(node: ast.UnaryOp) -> None:
    """`not x` becomes `not not x`, so that it stays a truth."""
    node.operand = ast.UnaryOp(op=ast.Not(), operand=node.operand)


def _call(node: ast.Call, name: str) -> None:
    node.func = ast.Name(id=name, ctx=ast.Load())
    if name == "ceil":
        node.func = ast.parse("__import__('math').ceil", mode="eval").body
    if name == "list":
        node.keywords = []
