"""A checked formula read over arrays: many cases at once, for ranges and what-ifs."""

import operator
from collections.abc import Callable, Mapping
from functools import partial, reduce
from math import isfinite, nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.domain.errors import OutlayError
from app.domain.takeoff.formula import WHOLE_WITHIN, Formula, MeasureMissing, Values
from app.domain.takeoff.tree import Node

Floats = NDArray[np.float64]
_Read = tuple[Any, Any]  # the values, and where they could not be worked out

_SIGNS: Mapping[str, Callable[[Any, Any], Any]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "==": operator.eq,
    "!=": operator.ne,
}


def arrays(of: Formula, values: Values) -> tuple[Floats, NDArray[np.bool_]]:
    """A formula's results where values may be arrays, and a mask of the cases that have none (NaN there).

    The same arithmetic as `Formula.number`, case by case: a branch that is not taken cannot fail a case.
    """
    with np.errstate(all="ignore"):
        result, failed = _read(of.tree, values)
    result, failed = np.broadcast_arrays(np.asarray(result, dtype=np.float64), np.asarray(failed, dtype=bool))
    failed = failed | ~np.isfinite(result)
    return np.where(failed, np.nan, result), failed


def _read(node: Node, values: Values) -> _Read:
    if node.op in ("number", "unit"):
        return np.float64(node.value), False
    if node.op == "measure":
        return _measure(node, values)
    if node.op in _SPECIAL:
        return _SPECIAL[node.op](node, values)
    one, failed = _read(node.args[0], values)
    for arg in node.args[1:]:
        two, also = _read(arg, values)
        failed = failed | also
        if node.op == "/":
            failed = failed | (two == 0)
            one = np.divide(one, two)
        elif node.op in ("min", "max"):
            one = np.where(two < one if node.op == "min" else two > one, two, one)
        else:
            one = _SIGNS[node.op](one, two)
    return one, failed


def _measure(node: Node, values: Values) -> _Read:
    try:
        value = np.asarray(values[node.name])
    except (KeyError, MeasureMissing):
        return np.float64(np.nan), True
    return (value if value.dtype == bool else value.astype(np.float64)), False


def _applied(node: Node, values: Values) -> _Read:
    read = [_read(arg, values) for arg in node.args]
    failed = reduce(np.logical_or, (bad for _, bad in read))
    if node.name not in values:
        return np.float64(np.nan), True
    function = np.vectorize(partial(_or_none, values[node.name]), otypes=[np.float64])
    result = function(*(np.where(failed, np.nan, one) for one, _ in read))
    return result, failed | np.isnan(result)


def _or_none(function: Callable[..., float], *numbers: float) -> float:
    """What a function gives for one case; nothing where it has no answer."""
    try:
        return function(*numbers) if all(map(isfinite, numbers)) else nan
    except OutlayError:
        return nan


def _negative(node: Node, values: Values) -> _Read:
    one, failed = _read(node.args[0], values)
    return -one, failed


def _power(node: Node, values: Values) -> _Read:
    base, failed = _read(node.args[0], values)
    product = base
    for _ in range(abs(int(node.value)) - 1):
        product = product * base
    return (product, failed) if node.value > 0 else (np.divide(1.0, product), failed | (product == 0))


def _root(node: Node, values: Values) -> _Read:
    one, failed = _read(node.args[0], values)
    return np.sqrt(one), failed | (one < 0)


def _floor(node: Node, values: Values) -> _Read:
    one, failed = _read(node.args[0], values)
    return np.floor_divide(one + WHOLE_WITHIN, 1.0), failed


def _ceil(node: Node, values: Values) -> _Read:
    one, failed = _read(node.args[0], values)
    return -np.floor_divide(WHOLE_WITHIN - one, 1.0), failed


def _round(node: Node, values: Values) -> _Read:
    one, failed = _read(node.args[0], values)
    return np.floor_divide(one + (0.5 + WHOLE_WITHIN), 1.0), failed


def _not(node: Node, values: Values) -> _Read:
    one, failed = _read(node.args[0], values)
    return np.logical_not(one), failed


def _logic(node: Node, values: Values) -> _Read:
    """`and` goes on where it is true so far, `or` where it is false: only there can the next item fail."""
    so_far, failed = _read(node.args[0], values)
    for arg in node.args[1:]:
        one, also = _read(arg, values)
        goes_on = so_far if node.op == "and" else np.logical_not(so_far)
        failed = failed | (goes_on & also)
        so_far = np.logical_and(so_far, one) if node.op == "and" else np.logical_or(so_far, one)
    return so_far, failed


def _choice(node: Node, values: Values) -> _Read:
    (test, test_failed), (yes, yes_failed), (no, no_failed) = (_read(arg, values) for arg in node.args)
    return np.where(test, yes, no), test_failed | np.where(test, yes_failed, no_failed)


_SPECIAL: Mapping[str, Callable[[Node, Values], _Read]] = {
    "applied": _applied,
    "neg": _negative,
    "**": _power,
    "sqrt": _root,
    "floor": _floor,
    "ceil": _ceil,
    "round": _round,
    "not": _not,
    "and": _logic,
    "or": _logic,
    "if": _choice,
}
