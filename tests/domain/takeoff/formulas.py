"""Random formulas of a wanted dimension over a small scope, and their values."""

from hypothesis import strategies as st

from app.domain.takeoff.kind import Special
from app.domain.takeoff.tree import Scope
from app.domain.units import AREA, LENGTH, RATIO, VOLUME

SCOPE = Scope(
    names={"area": AREA, "length": LENGTH, "base": LENGTH, "count": RATIO, "laid": Special.TRUTH},
    asked={"shared": {"ground": LENGTH, "house": LENGTH}},
    applied={"grown": ((LENGTH,), AREA)},
)
LEAVES = {
    RATIO: ("count", "2", "0.25", "7", "each", "pi", "(length / foot)"),
    LENGTH: ("length", "base", "shared('ground')", "shared('house')", "(6*inch)", "(1.5*foot)", "(2*yard)"),
    AREA: ("area", "(3*foot**2)", "yard**2"),
    VOLUME: ("foot**3", "(40*gallon)", "(area * base)"),
}


def grown_by_square(outward: float) -> float:
    """The area of a 20 ft square grown outward all round (corners rounded): geometry."""
    return 400.0 + 80.0 * outward + 3.141592653589793 * outward * outward


@st.composite
def truths(draw, depth: int) -> str:
    if depth == 0 or draw(st.booleans()):
        dimension = draw(st.sampled_from([RATIO, LENGTH, AREA]))
        sign = draw(st.sampled_from(["<", "<=", ">", ">=", "==", "!="]))
        left, right = draw(numbers(dimension, max(depth - 1, 0))), draw(numbers(dimension, max(depth - 1, 0)))
        return draw(st.sampled_from(["laid", f"{left} {sign} {right}"]))
    one, two = draw(truths(depth - 1)), draw(truths(depth - 1))
    return draw(st.sampled_from([f"({one} and {two})", f"({one} or {two})", f"(not {one})"]))


@st.composite
def numbers(draw, dimension, depth: int) -> str:  # noqa: PLR0911 - one return a shape
    """A formula of a dimension, of a depth."""
    if depth == 0:
        return draw(st.sampled_from(LEAVES[dimension]))
    shapes = ["+", "-", "min", "max", "if", "scaled", "shared", "neg", "leaf"]
    shapes += {RATIO: ["/", "round", "**"], LENGTH: ["/", "sqrt"], AREA: ["*", "**", "grown"], VOLUME: ["*", "**"]}[
        dimension
    ]
    shape = draw(st.sampled_from(shapes))
    same = draw(numbers(dimension, depth - 1))
    if shape in "+-":
        return f"({same} {shape} {draw(numbers(dimension, depth - 1))})"
    if shape in ("min", "max"):
        return f"{shape}({same}, {draw(numbers(dimension, depth - 1))})"
    if shape == "if":
        return f"({same} if {draw(truths(depth - 1))} else {draw(numbers(dimension, depth - 1))})"
    if shape == "scaled":
        return f"({same} * {draw(numbers(RATIO, depth - 1))})"
    if shape == "neg":
        return f"(-{same})"
    return draw(_special(shape, dimension, depth)) if shape not in ("shared", "leaf") else same


@st.composite
def _special(draw, shape: str, dimension, depth: int) -> str:
    length = draw(numbers(LENGTH, depth - 1))
    if shape == "/":
        over = draw(numbers(AREA if dimension == LENGTH else LENGTH, depth - 1))
        return f"({over} / {length})"
    if shape == "*":
        return f"({length} * {draw(numbers(LENGTH if dimension == AREA else AREA, depth - 1))})"
    if shape == "**":
        base = draw(numbers(RATIO, depth - 1)) if dimension == RATIO else length
        exponent = {RATIO: draw(st.sampled_from([-2, -1, 1, 2, 3])), AREA: 2, VOLUME: 3}[dimension]
        return f"({base})**{exponent}"
    if shape == "round":
        return f"{draw(st.sampled_from(['ceil', 'floor', 'round']))}({draw(numbers(RATIO, depth - 1))})"
    return f"sqrt({draw(numbers(AREA, depth - 1))})" if shape == "sqrt" else f"grown({length})"


MEASURED = st.floats(0, 500, allow_nan=False).map(lambda number: round(number, 3))
VALUES = st.fixed_dictionaries(
    {
        "area": MEASURED,
        "length": MEASURED,
        "base": MEASURED,
        "count": st.integers(0, 40).map(float),
        "laid": st.booleans(),
        "shared('ground')": MEASURED,
        "shared('house')": MEASURED,
        "grown": st.just(grown_by_square),
    }
)
