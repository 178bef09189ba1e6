"""The checked tree of a formula: what a formula may say, found out before anything is worked out.

A formula is a small part of Python's expressions: numbers, units, named measures, `+ - * / **`, comparisons,
`and or not`, `a if b else c`, and `min max ceil floor round sqrt`. Every node of the tree carries its dimension.
"""

import ast
import difflib
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from app.domain.errors import BadValue
from app.domain.takeoff.kind import Kind, Special, said, square_root
from app.domain.units import FORMULA_UNITS, RATIO, Dimension

LONGEST = 400  # characters of a formula
MOST_NODES = 150
DEEPEST = 40
LARGEST_NUMBER = 1e15
LARGEST_EXPONENT = 6

NUMBER_FUNCTIONS = ("min", "max", "ceil", "floor", "round", "sqrt")
_BINARY: Mapping[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
_COMPARED: Mapping[type[ast.cmpop], str] = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}
_UNIT_WITHOUT_SIGN = re.compile(r"(?<![\w.])(\d+\.?\d*|\.\d+)(?!e[+-]?\d)\s*([A-Za-z_]\w*)")
_WORDS_BETWEEN = {"if", "else", "and", "or", "not"}
_FOREIGN = re.compile(r"[^\w\s.,+\-*/()<>=!'\"]|[^\x00-\x7f]")


class FormulaRefused(BadValue):
    """A formula that says something formulas cannot say."""


class UnknownName(FormulaRefused):
    """A name that is neither a measure, a parameter, a unit nor a function here."""


class DimensionMismatch(FormulaRefused):
    """Two sides that cannot meet, or a result of another dimension than wanted."""


@dataclass(frozen=True, slots=True)
class Scope:
    """What a formula may name: measures and parameters, questions with a fixed text, functions of a length.

    `asked` holds the allowed texts with their dimensions by function (`shared` → `ground` → length), `applied` the
    dimensions taken and given (`grown` → length, area), `elsewhere` names known in other places, with that place.
    """

    names: Mapping[str, Kind] = field(default_factory=dict)
    asked: Mapping[str, Mapping[str, Kind]] = field(default_factory=dict)
    applied: Mapping[str, tuple[tuple[Dimension, ...], Dimension]] = field(default_factory=dict)
    elsewhere: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Node:
    """One operation of a checked formula. `op` is the sign or name of the operation, `text` how it was typed.

    Leaves: `number` and `unit` with their `value`, `measure` with its `name` (`area`, `shared('ground')`).
    """

    op: str
    text: str
    kind: Kind
    args: tuple["Node", ...] = ()
    value: float = 0.0
    name: str = ""


def checked_tree(source: str, scope: Scope) -> Node:
    """Read a formula and check every name and dimension in it.

    Raises: FormulaRefused with the place in words; UnknownName with the nearest known name; DimensionMismatch.
    """
    text = _plain_text(source)
    try:
        body = ast.parse(text, mode="eval").body
    except (SyntaxError, ValueError, MemoryError, RecursionError) as wrong:
        at = getattr(wrong, "offset", None)
        where = f" near character {at}" if at else ""
        raise FormulaRefused(f"“{source}” does not read as a formula{where}.") from wrong
    return _Checker(text, scope).node(body, 1)


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name nearest to one that is not known, as the end of a sentence; empty where none is near."""
    close = difflib.get_close_matches(name, list(known))
    return f" Did you mean “{close[0]}”?" if close else ""


def _plain_text(source: str) -> str:
    text = " ".join(source.split())
    if not text:
        raise FormulaRefused("A formula is empty. Type a number, a measure or a formula of them.")
    if len(text) > LONGEST:
        raise FormulaRefused(f"A formula of {len(text)} characters is too long; {LONGEST} is the most.")
    foreign = _FOREIGN.search(text)
    if foreign:
        raise FormulaRefused(f"“{source}”: the sign “{foreign.group()}” has no meaning in a formula.")
    for number, word in _UNIT_WITHOUT_SIGN.findall(text):
        if word not in _WORDS_BETWEEN:
            raise FormulaRefused(f"“{source}”: write {number}*{word} with a sign between number and name.")
        if f"{number}{word}" in text:
            raise FormulaRefused(f"“{source}”: leave a blank between {number} and “{word}”.")
    return text


class _Checker:
    """Walks Python's tree once and makes ours; holds the text, the scope and the count of nodes."""

    def __init__(self, text: str, scope: Scope) -> None:
        self.text = text
        self.scope = scope
        self.count = 0

    def node(self, raw: ast.expr, depth: int) -> Node:
        self.count += 1
        if self.count > MOST_NODES or depth > DEEPEST:
            raise FormulaRefused(f"“{self.text}” is too long or too deeply nested. Make a parameter of a part of it.")
        make: Callable[[ast.expr, int], Node] | None = getattr(self, f"_{type(raw).__name__.lower()}", None)
        if make is None:
            raise self._refused(raw, "is nothing that a formula can say")
        return make(raw, depth + 1)

    def _at(self, raw: ast.expr) -> str:
        return self.text[raw.col_offset : raw.end_col_offset]

    def _refused(self, raw: ast.expr, why: str) -> FormulaRefused:
        return FormulaRefused(f"“{self._at(raw)}” {why}.")

    def _constant(self, raw: ast.Constant, _depth: int) -> Node:
        number = raw.value
        if isinstance(number, bool) or not isinstance(number, int | float):
            raise self._refused(raw, "is not a number, measure or unit")
        if not abs(number) <= LARGEST_NUMBER:
            raise self._refused(raw, "is larger than anything that is built")
        return Node("number", self._at(raw), Special.ANY if number == 0 else RATIO, value=float(number))

    def _name(self, raw: ast.Name, _depth: int) -> Node:
        name = raw.id
        if name in self.scope.names:
            return Node("measure", name, self.scope.names[name], name=name)
        if name in FORMULA_UNITS:
            value, dimension = FORMULA_UNITS[name]
            return Node("unit", name, dimension, value=value)
        if name == "pi":
            return Node("number", name, RATIO, value=math.pi)
        raise self._unknown(name)

    def _unknown(self, name: str) -> UnknownName:
        scope = self.scope
        if name in scope.elsewhere:
            return UnknownName(f"“{name}” is not known here: it is a measure of {scope.elsewhere[name]}.")
        if name in {*NUMBER_FUNCTIONS, *scope.asked, *scope.applied}:
            return UnknownName(f"“{name}” needs its brackets, as in {name}(…).")
        known = [*scope.names, *scope.asked, *scope.applied, *FORMULA_UNITS, *NUMBER_FUNCTIONS, "pi"]
        return UnknownName(f"“{name}” is not known here.{nearest(name, known)}")

    def _unaryop(self, raw: ast.UnaryOp, depth: int) -> Node:
        inner = self.node(raw.operand, depth)
        if isinstance(raw.op, ast.Not):
            self._want_truth(inner)
            return Node("not", self._at(raw), Special.TRUTH, (inner,))
        if isinstance(raw.op, ast.Invert):
            raise self._refused(raw, "is nothing that a formula can say")
        self._want_number(inner)
        return inner if isinstance(raw.op, ast.UAdd) else Node("neg", self._at(raw), inner.kind, (inner,))

    def _binop(self, raw: ast.BinOp, depth: int) -> Node:
        if isinstance(raw.op, ast.Pow):
            return self._power(raw, depth)
        op = _BINARY.get(type(raw.op))
        if op is None:
            raise self._refused(raw, "uses a sign that formulas do not have; + - * / ** are there")
        left, right = self.node(raw.left, depth), self.node(raw.right, depth)
        self._want_number(left, right)
        if op in "+-":
            return Node(op, self._at(raw), self._shared_kind(raw, left, right), (left, right))
        one, two = _dimension(left), _dimension(right)
        return Node(op, self._at(raw), one * two if op == "*" else one / two, (left, right))

    def _power(self, raw: ast.BinOp, depth: int) -> Node:
        base = self.node(raw.left, depth)
        self._want_number(base)
        exponent = _whole_literal(raw.right)
        if exponent is None or not 0 < abs(exponent) <= LARGEST_EXPONENT:
            raise self._refused(raw, f"wants a whole number from 1 to {LARGEST_EXPONENT} (or -1 to ...) as exponent")
        return Node("**", self._at(raw), _dimension(base) ** exponent, (base,), value=float(exponent))

    def _compare(self, raw: ast.Compare, depth: int) -> Node:
        if len(raw.ops) != 1:
            raise self._refused(raw, "compares more than two; join comparisons with “and”")
        op = _COMPARED.get(type(raw.ops[0]))
        if op is None:
            raise self._refused(raw, "compares in a way formulas do not know; < <= > >= == != are there")
        left, right = self.node(raw.left, depth), self.node(raw.comparators[0], depth)
        self._want_number(left, right)
        self._shared_kind(raw, left, right)
        return Node(op, self._at(raw), Special.TRUTH, (left, right))

    def _boolop(self, raw: ast.BoolOp, depth: int) -> Node:
        items = tuple(self.node(item, depth) for item in raw.values)
        for item in items:
            self._want_truth(item)
        return Node("and" if isinstance(raw.op, ast.And) else "or", self._at(raw), Special.TRUTH, items)

    def _ifexp(self, raw: ast.IfExp, depth: int) -> Node:
        test, yes, no = (self.node(part, depth) for part in (raw.test, raw.body, raw.orelse))
        self._want_truth(test)
        self._want_number(yes, no)
        return Node("if", self._at(raw), self._shared_kind(raw, yes, no), (test, yes, no))

    def _call(self, raw: ast.Call, depth: int) -> Node:
        if not isinstance(raw.func, ast.Name) or raw.keywords:
            raise self._refused(raw, "is nothing that a formula can say")
        name = raw.func.id
        if name in self.scope.asked:
            return self._asked(raw, name)
        if name in self.scope.applied:
            return self._applied(raw, name, depth)
        if name not in NUMBER_FUNCTIONS:
            if name in self.scope.names or name in FORMULA_UNITS:
                raise self._refused(raw, f"puts brackets after {name}, which is a number; write {name}*(…)")
            raise self._unknown(name)
        args = tuple(self.node(arg, depth) for arg in raw.args)
        self._want_number(*args)
        return Node(name, self._at(raw), self._function_kind(raw, name, args), args)

    def _asked(self, raw: ast.Call, name: str) -> Node:
        texts = self.scope.asked[name]
        text = raw.args[0] if len(raw.args) == 1 else None
        if not isinstance(text, ast.Constant) or not isinstance(text.value, str):
            raise self._refused(raw, f"wants one word in quotes, as in {name}('{next(iter(texts), 'ground')}')")
        if text.value not in texts:
            choice = ", ".join(texts) or "nothing"
            raise UnknownName(
                f"“{self._at(raw)}”: “{text.value}” is not known to {name}; known are {choice}."
                f"{nearest(text.value, texts)}"
            )
        key = f"{name}('{text.value}')"
        return Node("measure", self._at(raw), texts[text.value], name=key)

    def _applied(self, raw: ast.Call, name: str, depth: int) -> Node:
        wanted, gives = self.scope.applied[name]
        if len(raw.args) != len(wanted):
            words = f"one {said(wanted[0])}" if len(wanted) == 1 else f"{len(wanted)} numbers ({_listed(wanted)})"
            raise self._refused(raw, f"wants {words} in its brackets")
        args = tuple(self.node(arg, depth) for arg in raw.args)
        self._want_number(*args)
        for arg, takes in zip(args, wanted, strict=True):
            if arg.kind not in (takes, Special.ANY):
                told = f"{name} wants {said(takes)}, {arg.text} is {said(arg.kind)}"
                raise DimensionMismatch(f"“{self._at(raw)}”: {told}.")
        return Node("applied", self._at(raw), gives, args, name=name)

    def _function_kind(self, raw: ast.Call, name: str, args: tuple[Node, ...]) -> Kind:
        if name in ("min", "max"):
            if len(args) < 2:
                raise self._refused(raw, "wants two or more, with commas between")
            return self._shared_kind(raw, *args)
        if len(args) != 1:
            raise self._refused(raw, "wants one number in its brackets")
        if name == "sqrt":
            root = square_root(_dimension(args[0]))
            if root is None:
                raise DimensionMismatch(f"“{self._at(raw)}”: {said(args[0].kind)} has no square root that is a unit.")
            return root
        kind = args[0].kind
        if isinstance(kind, Dimension) and kind != RATIO:
            raise DimensionMismatch(
                f"“{self._at(raw)}”: {name} takes a count or a plain number, {args[0].text} is {said(kind)}; "
                "the result would depend on the unit."
            )
        return kind

    def _shared_kind(self, raw: ast.expr, *items: Node) -> Kind:
        """The one dimension of sides that meet; a literal 0 takes the dimension of the others."""
        first = next((item for item in items if item.kind is not Special.ANY), None)
        if first is None:
            return Special.ANY
        for item in items:
            if item.kind not in (Special.ANY, first.kind):
                raise DimensionMismatch(
                    f"“{self._at(raw)}”: {first.text} is {said(first.kind)} and {item.text} is {said(item.kind)}; "
                    "both must be of one kind."
                )
        return first.kind

    def _want_number(self, *items: Node) -> None:
        for item in items:
            if item.kind is Special.TRUTH:
                raise DimensionMismatch(f"“{item.text}” is true or false; a number is wanted in “{self.text}”.")

    def _want_truth(self, item: Node) -> None:
        if item.kind is not Special.TRUTH:
            raise DimensionMismatch(
                f"“{item.text}” is {said(item.kind)}; a comparison is wanted there, as in {item.text} > 0."
            )


def _listed(wanted: Iterable[Dimension]) -> str:
    return ", ".join(said(one) for one in wanted)


def _dimension(node: Node) -> Dimension:
    """A number's dimension in a product: a literal 0 counts as a plain number."""
    return node.kind if isinstance(node.kind, Dimension) else RATIO


def _whole_literal(raw: ast.expr) -> int | None:
    sign = 1
    if isinstance(raw, ast.UnaryOp) and isinstance(raw.op, ast.USub):
        sign, raw = -1, raw.operand
    if isinstance(raw, ast.Constant) and type(raw.value) is int:
        return sign * raw.value
    return None
