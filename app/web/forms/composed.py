"""Fields put together of simpler ones: lines of a text, lengths by key, answers to questions, a line by its points."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.job import Answer, LotLine, OwnFactor
from app.domain.plan.lines import parse_line
from app.domain.plan.shapes import NO_MARKS, Marks, parse_place
from app.domain.units import parse_price
from app.web.forms.fields import MOST_TEXT, Field, Group, Parsed, Texts, choice, count, length, read, share

LEAST_FACTOR, MOST_FACTOR = 0.5, 4.0
MOST_REASON = 300  # characters
LONGEST_WAY = 300  # minutes
FURTHEST = 500  # miles
MOST_LOT_LINES = 400


def lines(name: str, label: str) -> Field:
    """A text whose lines are separate items."""
    return Field(
        name=name,
        label=label,
        empty=(),
        reader=lambda typed, _firm: tuple(line.strip() for line in typed.splitlines() if line.strip()),
    )


def portion(name: str, label: str) -> Field:
    """A share kept as a plain number between 0 and 1."""
    one = share(name, label)

    def reader(typed: str, firm: Firm) -> float:
        value = float(one.reader(typed, firm))
        if not 0 <= value <= 1:
            raise BadValue(f"{label}: {typed} was typed; it must lie between 0 and 100%.")
        return value

    return Field(name=name, label=label, reader=reader)


def miles(name: str, label: str) -> Field:
    """A distance by road, in miles."""

    def reader(typed: str, _firm: Firm) -> float:
        value = float(typed.removesuffix("mi").removesuffix("miles").replace(",", "."))
        if not 0 <= value <= FURTHEST:
            raise BadValue(f"{label}: {typed} was typed; it must lie between 0 and {FURTHEST} miles.")
        return value

    return Field(name=name, label=label, reader=reader)


def corners(most: int) -> Group:
    """How many corners a line has: none typed is none, an empty field is what is drawn."""
    one = count("corners", "Corners", most=most)

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = read(form, (one,), firm)
        if not parsed.ok:
            return parsed
        told = parsed.values.get("corners")
        return replace(parsed, values={"corners": told or 0, "corners_typed": told is not None})

    return Group(name="corners", label="Corners", reader=reader)


def minutes(name: str, label: str) -> Field:
    """Minutes of a way."""

    def reader(typed: str, _firm: Firm) -> float:
        value = float(typed.removesuffix("min").removesuffix("minutes").replace(",", "."))
        if not 0 <= value <= LONGEST_WAY:
            raise BadValue(f"{label}: {typed} was typed; it must lie between 0 and {LONGEST_WAY} minutes.")
        return value

    return Field(name=name, label=label, reader=reader)


def lengths(name: str, label: str, keys: tuple[str, ...]) -> Group:
    """Lengths by key: inputs `NAME.KEY`; one left empty is not in the mapping."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = read(form, [length(f"{name}.{key}", label) for key in keys], firm)
        if not parsed.ok:
            return parsed
        found = {key: parsed.values.get(f"{name}.{key}") for key in keys}
        return replace(parsed, values={name: {key: feet for key, feet in found.items() if feet is not None}})

    return Group(name=name, label=label, reader=reader)


def answers(name: str, keys: Mapping[str, str]) -> Group:
    """Yes, no or not known for each of several questions: inputs `NAME.KEY`."""
    known = [choice(f"{name}.{key}", label, [a.value for a in Answer]) for key, label in keys.items()]

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = read(form, known, firm)
        given = {key: parsed.values.get(f"{name}.{key}") for key in keys}
        return replace(parsed, values={name: {key: answer for key, answer in given.items() if answer}})

    return Group(name=name, label="", reader=reader)


def own_factors(name: str, causes: Iterable[str]) -> Group:
    """Factors set by hand, each with its reason: inputs `NAME.CAUSE.factor` and `NAME.CAUSE.reason`."""
    known = tuple(causes)

    def reader(form: FormData, _firm: Firm) -> Parsed:
        found: dict[str, OwnFactor] = {}
        errors, typed = Texts(), Texts()
        for cause in known:
            at = f"{name}.{cause}"
            typed |= {key: str(form.get(key, "")).strip()[:MOST_REASON] for key in (f"{at}.factor", f"{at}.reason")}
            given, reason = typed[f"{at}.factor"], typed[f"{at}.reason"]
            try:
                factor = _factor(given) if given else None
            except OutlayError as wrong:
                errors[f"{at}.factor"] = wrong.sentence
                continue
            if factor is not None and not reason:
                errors[f"{at}.reason"] = "Say why this site is another than the table says."
            elif factor is not None:
                found[cause] = OwnFactor(factor=factor, reason=reason)
        return Parsed(values={} if errors else {name: found}, errors=errors, typed=typed)

    return Group(name=name, label="What slows the work, set by hand", reader=reader)


def _factor(typed: str) -> float:
    value = float(parse_price(typed.removeprefix("×").strip()))
    if not LEAST_FACTOR <= value <= MOST_FACTOR:
        told = f"{typed} was typed; a factor lies between {LEAST_FACTOR} and {MOST_FACTOR:g}, and 1 slows nothing."
        raise BadValue(told)
    return value


def sides_of_lot(name: str, known: Iterable[str]) -> Group:
    """Which lot line is which: inputs `NAME.N` with its side, and `NAME.N.at` with a point on it [ft]."""
    sides = tuple(known)

    def reader(form: FormData, _firm: Firm) -> Parsed:
        found: list[LotLine] = []
        errors, typed = Texts(), Texts()
        sent = (at for at in range(MOST_LOT_LINES) if f"{name}.{at}.at" in form)
        for at in sent:
            key = f"{name}.{at}"
            side = typed[key] = str(form.get(key, ""))[:20]
            try:
                x, y = parse_place(str(form.get(f"{key}.at", "")), system="feet")
            except OutlayError as wrong:
                errors[key] = wrong.sentence
                continue
            if side and side not in sides:
                errors[key] = "Choose one of the list."
            elif side:
                found.append(LotLine(x=x, y=y, side=side))
        return Parsed(values={} if errors else {name: tuple(found)}, errors=errors, typed=typed)

    return Group(name=name, label="Which lot line is which", reader=reader)


def drawn_line(name: str, marks: Marks = NO_MARKS) -> Group:
    """A line typed by its points, with arcs: the text `NAME` gives `points` and `rises`. Points may name `marks`."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        typed = str(form.get(name, ""))[:MOST_TEXT].strip()
        texts = Texts({name: typed})
        if not typed:
            return Parsed(values={"points": (), "rises": ()}, typed=texts)
        try:
            points, rises = parse_line(typed, system=firm.system, marks=marks)
        except OutlayError as wrong:
            return Parsed(errors=Texts({name: wrong.sentence}), typed=texts)
        return Parsed(values={"points": points, "rises": rises}, typed=texts)

    return Group(name=name, label="", reader=reader)
