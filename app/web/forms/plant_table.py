"""The form of a row of the plant table: names, grown size, wants, bloom, cautions, source."""

from collections.abc import Mapping

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.plant import HARMS, KINDS, MOST_COLORS, SUN, WATER, Plant
from app.domain.units import System, format_length
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, count, length, read, text, yes

MOST_COLOR = 24  # characters of one color's name


def _span(name: str, label: str, least: Field, most: Field) -> Group:
    """Two inputs that make a pair: `NAME.PART` of each field's own name."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = read(form, (least, most), firm, whole=True)
        pair = tuple(parsed.values[one.name] for one in (least, most)) if parsed.ok else ()
        return Parsed(
            values={name: pair} if parsed.ok else {},
            errors=parsed.errors,
            typed=parsed.typed,
            understood=parsed.understood,
        )

    return Group(name=name, label=label, reader=reader)


def _lengths(name: str, label: str) -> Group:
    least = length(f"{name}.least", f"{label}, least", required=True)
    return _span(name, label, least, length(f"{name}.most", f"{label}, most", required=True))


def _zones() -> Group:
    coldest = count("zones.coldest", "Coldest zone", least=1, most=13, required=True)
    return _span(
        "zones", "USDA zones", coldest, count("zones.warmest", "Warmest zone", least=1, most=13, required=True)
    )


def _spacing() -> Field:
    """How far apart they stand in a bed, kept in inches."""
    one = length("spacing", "Apart in a bed", required=True)
    return Field(
        name=one.name, label=one.label, required=True, reader=lambda typed, firm: one.reader(typed, firm).feet * 12
    )


def _ticked(name: str, label: str, known: Mapping[str, str] | tuple[str, ...]) -> Group:
    """Those of a list that are ticked, in its order; texts sent again may stand in one, with commas."""

    def reader(form: FormData, _firm: Firm) -> Parsed:
        sent = [part for one in form.getlist(name) if isinstance(one, str) for part in one.split(",")]
        ticked = {part.strip() for part in sent if part.strip()}
        typed = Texts({name: ", ".join(one for one in known if one in ticked)})
        if ticked - set(known):
            return Parsed(errors=Texts({name: f"{label}: choose of the list."}), typed=typed)
        return Parsed(values={name: tuple(one for one in known if one in ticked)}, typed=typed)

    return Group(name=name, label=label, reader=reader)


def _months() -> Group:
    ticked = _ticked("bloom", "Months of bloom", tuple(str(month) for month in range(1, 13)))

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = ticked.reader(form, firm)
        months = {"bloom": tuple(int(one) for one in parsed.values["bloom"])} if parsed.ok else {}
        return Parsed(values=months, errors=parsed.errors, typed=parsed.typed)

    return Group(name="bloom", label="Months of bloom", reader=reader)


def _harm(name: str, label: str) -> Field:
    """How it is known to harm: `eaten`, `skin` or both."""
    known = ("", *HARMS, ", ".join(HARMS))
    return choice(name, label, known)


def _colors(typed: str, _firm: Firm) -> tuple[str, ...]:
    found = tuple(dict.fromkeys(word.strip().casefold() for word in typed.split(",") if word.strip()))
    if len(found) > MOST_COLORS:
        raise BadValue(f"{len(found)} colors were typed; {MOST_COLORS} are told at most.")
    if long := next((word for word in found if len(word) > MOST_COLOR), ""):
        raise BadValue(f"“{long[:40]}” is no color's name. Write colors with commas: white, pale pink.")
    return found


PLANT_ROW: tuple[Field | Group, ...] = (
    text("botanical", "Botanical name", required=True, most=80),
    text("common", "Common name", required=True, most=80),
    text("spanish", "Spanish name", most=80),
    choice("kind", "Kind", list(KINDS), required=True),
    _lengths("height", "Grown height"),
    _lengths("spread", "Grown width"),
    _spacing(),
    _ticked("sun", "Sun", SUN),
    choice("water", "Water", list(WATER), required=True),
    _zones(),
    _months(),
    Field(name="colors", label="Colors of its bloom", reader=_colors, empty=()),
    yes("evergreen", "Keeps its leaves over winter"),
    _harm("people", "Harms people"),
    _harm("pets", "Harms pets"),
    text("native", "Native to", most=120),
    text("source", "Where these figures come from", required=True, most=1_000),
)


def texts_of(plant: Plant, system: System) -> Mapping[str, str]:
    """The lengths and zones of a row as they could be typed, by input."""
    spans = {"height": plant.height, "spread": plant.spread}
    return {
        **{f"{name}.least": format_length(span[0], system) for name, span in spans.items()},
        **{f"{name}.most": format_length(span[1], system) for name, span in spans.items()},
        "spacing": format_length(plant.spacing / 12, system),
        "zones.coldest": str(plant.zones[0]),
        "zones.warmest": str(plant.zones[1]),
    }
