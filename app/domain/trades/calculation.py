"""What a trade offers to be worked out alone: inputs, outputs, the way there, and where it ends.

A calculation is worked out step by step; each step keeps its formula, so that every answer opens to it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from app.domain.trades.quantity import NUMBER, Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of an input that is typed as rows. A `text` column is a name; an optional one may be left out."""

    name: str
    label: str
    quantity: Quantity = NUMBER
    default: float | str | None = None  # what it is where it is left out; None: it must be typed
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """What is put in. `default`, `least`, `most` are in canonical units, those of rows, too.

    `choices` are keys with their words; `columns` make it an input of rows, `grid` one of numbers row by row. One whose
    default is None may be left empty: the calculation then says what it took.
    """

    name: str
    label: str
    quantity: Quantity = NUMBER
    default: float | str | tuple[tuple[Any, ...], ...] | None = 0.0
    least: float | None = 0.0
    most: float | None = None
    choices: tuple[tuple[str, str], ...] = ()
    columns: tuple[Column, ...] = ()
    grid: bool = False
    hint: str = ""
    table: str = ""  # the printed table of which this chooses the edition: its key, as the firm's settings name it


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """What comes out, in canonical units. `main` ones are what was asked; the others lead there."""

    name: str
    label: str
    quantity: Quantity = NUMBER
    main: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """How one output came about. `formula` is arithmetic of the names of inputs and outputs; `words` say it instead."""

    name: str
    formula: str
    words: str = ""


@dataclass(slots=True)
class Working:
    """Values by name while a calculation is worked out, with the steps and the notes made on the way."""

    values: dict[str, Any]
    steps: list[Step] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    tables: list["Table"] = field(default_factory=list)

    def __getitem__(self, name: str) -> Any:
        return self.values[name]

    def step(self, name: str, value: float, formula: str) -> float:
        """Keep a value that a formula gives."""
        self.values[name] = float(value)
        self.steps.append(Step(name, formula))
        return float(value)

    def told(self, name: str, value: float, words: str) -> float:
        """Keep a value that no single formula gives: words say how."""
        self.values[name] = float(value)
        self.steps.append(Step(name, "", words))
        return float(value)

    def note(self, words: str) -> None:
        """Keep a sentence about this answer."""
        self.notes.append(words)

    def table(self, title: str, heads: Sequence[tuple[str, Quantity | None]], rows: Sequence[Sequence[Any]]) -> None:
        """Keep rows of an answer, one a light or a section; a head without a quantity is a column of words."""
        self.tables.append(Table(title, tuple(heads), tuple(tuple(row) for row in rows)))


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of an answer, in canonical units."""

    title: str
    heads: tuple[tuple[str, Quantity | None], ...]
    rows: tuple[tuple[Any, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A recipe that an answer can be put into: which of its parameters take which value of the calculation.

    `sizes` are fields of the feature or run that a recipe is built on where it is made anew, `run_kind` the run's kind;
    without `new` it is only put into what the job has.
    """

    assembly: str
    parameters: Mapping[str, str]
    new: bool = False
    sizes: Mapping[str, str] = field(default_factory=dict)
    run_kind: str = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculation:
    """One calculation of a trade. `work` fills the values of its outputs; what it cannot do it refuses in words.

    `stops` says where a licensed trade or an engineer takes over; `money` keeps it off the field's face.
    """

    key: str
    title: str
    trade: str
    words: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    work: Callable[[Working], None]
    validity: str
    source: str
    assumes: tuple[str, ...] = ()
    differs: str = ""  # what another known formula gives instead, with the amount and who says so
    cautions: tuple[str, ...] = ()
    stops: str = ""
    money: bool = False
    targets: tuple[Target, ...] = ()
    sets_fall: str = ""  # the value that is the fall of a zone's finished surface
    search: str = ""  # further words it is found by

    @property
    def by_edition(self) -> tuple[Input, ...]:
        """The inputs that choose the edition of a printed table."""
        return tuple(one for one in self.inputs if one.table)

    def named_input(self, name: str) -> Input | None:
        """An input by name."""
        return next((one for one in self.inputs if one.name == name), None)

    def quantity_of(self, name: str) -> Quantity | None:
        """What kind of number an input or output is."""
        known = {one.name: one.quantity for one in self.inputs} | {one.name: one.quantity for one in self.outputs}
        return known.get(name)


@dataclass(frozen=True, slots=True)
class Answer:
    """A calculation worked out: all values by name in canonical units, the steps, what is to be said of it."""

    calculation: Calculation
    values: Mapping[str, Any]
    steps: tuple[Step, ...]
    notes: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
