"""Low-voltage lighting: what a cable loses, the voltage at each light of a branching circuit, cable, transformer.

A load at the *end* of a two-wire run loses 2 × length × current × resistance: both conductors carry it. The cable
constants of the trade hold only for lights spread evenly along the run, which lose half of that.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from app.domain.errors import BadValue
from app.domain.trades.validity import OutsideValidity, above_zero, within

# ohms in 1,000 ft of one copper conductor at 75 °C: NFPA 70 chapter 9 table 8 (secondary source), uncoated; 18 stranded
# from memory
SOLID: Mapping[str, float] = {"8": 0.764, "10": 1.21, "12": 1.93, "14": 3.07, "16": 4.89, "18": 7.77}
STRANDED: Mapping[str, float] = {"8": 0.778, "10": 1.24, "12": 1.98, "14": 3.14, "16": 4.99, "18": 7.95}
COPPER_BY_DEGREE = 0.00323  # by °C from 75 °C: the same table, note 2
NOMINAL = 12.0  # V: what a lamp's watts are printed for
LOWEST_SHARE = 0.5  # of the source: below half of it nothing is told, the lamps would not work
SECONDARY_AMPERES = 25.0  # NFPA 70 article 411, secondary source
_LINES = ("direct burial", "metal conduit", "plastic conduit", "protected branch", "low voltage")
# least cover [in] by place and line: NFPA 70 table 300.5 (secondary source; "thick slab" and "home drive" from memory,
# unverified), top of the cable to the finished ground
COVER: Mapping[str, Mapping[str, float]] = {
    "yard": dict(zip(_LINES, (24, 6, 18, 12, 6), strict=True)),
    "slab": dict(zip(_LINES, (18, 6, 12, 6, 6), strict=True)),
    "building": dict(zip(_LINES, (0, 0, 0, 0, 0), strict=True)),
    "thick slab": dict(zip(_LINES, (18, 4, 4, 6, 6), strict=True)),
    "home drive": dict(zip(_LINES, (18, 18, 18, 12, 18), strict=True)),
    "drive": dict(zip(_LINES, (24, 24, 24, 24, 24), strict=True)),
}
MOST_LIGHTS = 300
_ROUNDS = 200
_SETTLED = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of cable to a light or a branch.

    `length` [ft] of `gauge` from `start`, the name of another or "source".
    `watts` is what the light at its end takes, 0 for a mere branch; `steady` ones take the same power at any voltage
    (LED drivers), others fall with it (filament lamps). `power_factor` makes volt-amperes of watts.
    """

    name: str
    start: str
    length: float
    gauge: str
    watts: float
    steady: bool = True
    power_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class AtLight:
    """What arrives at the end of a piece: `volts` there, `amperes` through its cable."""

    name: str
    volts: float
    amperes: float


def resistance(gauge: str, temperature: float = 20.0, *, solid: bool = False) -> float:
    """Ohms in 1,000 ft of one conductor of `gauge` (AWG) at `temperature` [°C, -40 to 90].

    Raises: OutsideValidity. Source: NFPA 70 chapter 9 table 8 and its note 2 (secondary source).

    >>> round(resistance("12", 75), 3), round(resistance("12", 20, solid=True), 3)
    (1.98, 1.587)
    """
    table = SOLID if solid else STRANDED
    if gauge not in table:
        raise OutsideValidity(f"Cable {gauge[:20]} is not in the table: {', '.join(table)} gauge are.")
    return table[gauge] * (1 + COPPER_BY_DEGREE * (within("Temperature", temperature, -40, 90, "°C") - 75))


def voltage_lost(length: float, amperes: float, ohms: float, *, spread: bool = False) -> float:
    """Volts lost on a two-wire run of `length` [ft] that carries `amperes` [A] in cable of `ohms` [a 1,000 ft].

    The load stands at the end; with `spread`, evenly along the run, it loses half. Source: Ohm's law for both
    conductors.

    >>> round(voltage_lost(200, 100 / 12, 0.9989), 2), round(voltage_lost(200, 100 / 12, 0.9989, spread=True), 2)
    (3.33, 1.66)
    """
    return (1 if spread else 2) * length * amperes * ohms / 1000


def longest_run(volts_lost: float, amperes: float, ohms: float) -> float:
    """The longest two-wire run [ft] with the load at its end that loses no more than `volts_lost` [V].

    >>> round(longest_run(1.2, 100 / 12, 1.24))
    58
    """
    return volts_lost * 1000 / (2 * above_zero("Current", amperes, "A") * above_zero("Resistance", ohms, "ohm"))


def voltages(pieces: Sequence[Piece], source: float, temperature: float = 20.0) -> tuple[AtLight, ...]:
    """The voltage at the end of each piece of a branching circuit, in the order given.

    `source` [V, 5 to 30] is the transformer's tap; `temperature` of the cable [°C]. Pieces begin at "source" or at the
    end of another. Currents and voltages are found together, until nothing moves. Raises: BadValue for a circuit that
    is no tree; OutsideValidity where the lights would pull the voltage down to half. Source: Ohm's and Kirchhoff's
    laws.

    >>> piece = Piece(name="a", start="source", length=100, gauge="10", watts=50)
    >>> [round(one.volts, 2) for one in voltages([piece], 12)]
    [11.08]
    """
    within("Voltage of the source", source, 5, 30, "V")
    within("Lights", len(pieces), 1, MOST_LIGHTS)
    order = _outward(pieces)
    places = {piece.name: at for at, piece in enumerate(pieces)}
    ohms = [2 * piece.length * resistance(piece.gauge, temperature) / 1000 for piece in pieces]
    volts = [source] * len(pieces)
    for _ in range(_ROUNDS):
        amperes = _currents(pieces, order, places, volts)
        moved = 0.0
        for at in order:
            start = pieces[at].start
            new = (source if start == "source" else volts[places[start]]) - ohms[at] * amperes[at]
            if new < source * LOWEST_SHARE:
                raise OutsideValidity(
                    f"At {pieces[at].name} less than half of the voltage would be left: such a circuit does not work. "
                    "Take thicker cable, shorter runs or fewer lights."
                )
            moved, volts[at] = max(moved, abs(new - volts[at])), new
        if moved < _SETTLED:
            return tuple(AtLight(piece.name, volts[at], amperes[at]) for at, piece in enumerate(pieces))
    raise OutsideValidity("These lights pull the voltage down without an end. Take thicker cable or fewer lights.")


def _currents(
    pieces: Sequence[Piece], order: Sequence[int], places: Mapping[str, int], volts: Sequence[float]
) -> list[float]:
    """The current through each piece: that of its own light and of all behind it."""
    amperes = [_drawn(piece, volts[at]) for at, piece in enumerate(pieces)]
    for at in reversed(order):
        if pieces[at].start != "source":
            amperes[places[pieces[at].start]] += amperes[at]
    return amperes


def _drawn(piece: Piece, volts: float) -> float:
    """What a light draws [A]: steady power at what arrives, or a filament that stays as it is."""
    apparent = piece.watts / piece.power_factor
    return apparent / volts if piece.steady else piece.watts * volts / NOMINAL**2


def _outward(pieces: Sequence[Piece]) -> list[int]:
    """The places of pieces from the source outward. Raises: BadValue for names met twice, unknown starts, rings."""
    names = [piece.name for piece in pieces]
    twice = next((name for name in names if names.count(name) > 1 or name == "source"), None)
    if twice:
        raise BadValue(f"“{twice}” is the name of more than one. Name each light and branch apart.")
    _each_is_sound(pieces, set(names))
    order: list[int] = []
    reached = {"source"}
    while len(order) < len(pieces):
        found = [at for at, piece in enumerate(pieces) if piece.start in reached and piece.name not in reached]
        if not found:
            left = next(piece for piece in pieces if piece.name not in reached)
            raise BadValue(f"{left.name} hangs in a ring: no way leads from the source to it.")
        order += found
        reached |= {pieces[at].name for at in found}
    return order


def _each_is_sound(pieces: Sequence[Piece], names: set[str]) -> None:
    for piece in pieces:
        if piece.start not in names | {"source"}:
            raise BadValue(f"{piece.name} begins at “{piece.start}”, which is neither “source” nor another one's name.")
        within(f"Cable to {piece.name}", piece.length, 0, 2000, "ft")
        within(f"Power at {piece.name}", piece.watts, 0, 1000, "W")
        within(f"Power factor at {piece.name}", piece.power_factor, 0.3, 1)


def transformer_for(volt_amperes: float, sizes: Sequence[float], share: float) -> float:
    """The smallest of `sizes` [VA] that is loaded to no more than `share` [0.5 to 1] by `volt_amperes` [VA].

    Raises: OutsideValidity where none is large enough. Source: 80 % is common practice, no source.

    >>> transformer_for(240, [150, 300, 600], 0.8), transformer_for(256.25, [150, 300, 600], 0.8)
    (300, 600)
    """
    within("Loaded to", share, 0.5, 1)
    found = next((size for size in sorted(sizes) if size * share >= volt_amperes - 1e-9), None)
    if found is None:
        most = max(sizes) * share
        raise OutsideValidity(
            f"{volt_amperes:.0f} VA is more than the largest takes ({most:.0f} VA). Split it among several."
        )
    return found


def supplies(volt_amperes: float, size: float, share: float) -> int:
    """How many transformers of one `size` [VA] take `volt_amperes` [VA] at no more than `share` [0.5 to 1] each.

    At least one. Raises: OutsideValidity. Source: 80 % is common practice, no source.

    >>> supplies(240, 300, 0.8), supplies(256.25, 300, 0.8)
    (1, 2)
    """
    most = above_zero("Size of the transformer", size, "VA") * within("Loaded to", share, 0.5, 1)
    return max(1, ceil(volt_amperes / most - 1e-9))


def secondaries(volt_amperes: float, volts: float) -> int:
    """How many secondary circuits of at most 25 A carry `volt_amperes` [VA] at `volts` [V, to 30].

    Raises: OutsideValidity. Source: NFPA 70 article 411 (secondary source).

    >>> secondaries(800, 12)
    3
    """
    within("Voltage", volts, 5, 30, "V")
    return ceil(volt_amperes / (volts * SECONDARY_AMPERES) - 1e-9)


def cover_of(place: str, line: str) -> float:
    """The least cover [in] over a buried line by where it lies and what it is; 0 under a building means in a raceway.

    Raises: OutsideValidity for what is not printed. Source: NFPA 70 table 300.5 (secondary source); less where the
    instructions of a listed low-voltage system allow it.

    >>> cover_of("yard", "low voltage"), cover_of("drive", "low voltage")
    (6, 24)
    """
    row = COVER.get(place)
    if row is None or line not in row:
        raise OutsideValidity(f"No cover is printed for {line[:30]} at “{place[:30]}”.")
    return row[line]


def chain(lights: int, spacing: float, first: float, *, gauge: str, watts: float) -> Iterator[Piece]:
    """A row of equal lights on one cable: `first` [ft] to the first, `spacing` [ft] from each to the next.

    >>> [piece.start for piece in chain(3, 10, 30, gauge="12", watts=4)]
    ['source', '1', '2']
    """
    for number in range(1, lights + 1):
        start = "source" if number == 1 else str(number - 1)
        length = first if number == 1 else spacing
        yield Piece(name=str(number), start=start, length=length, gauge=gauge, watts=watts)
