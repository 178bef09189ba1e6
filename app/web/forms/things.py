"""The form of each kind of thing: which fields a page may send, and how their texts are read."""

from collections.abc import Mapping
from dataclasses import replace

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.job import (
    EXISTING_KINDS,
    PRIVATE_LINES,
    Answer,
    EdgeChoice,
    Fate,
    Firmness,
    Measured,
    PriceShown,
    RunKind,
    Stage,
    ZoneKind,
)
from app.domain.plan.lines import parse_line
from app.web.forms.early import early_wishes
from app.web.forms.fields import (
    MOST_TEXT,
    Field,
    Group,
    Parsed,
    Texts,
    area,
    choice,
    count,
    day,
    length,
    money,
    read,
    share,
    slope,
    text,
    thing,
    things,
    yes,
)
from app.web.forms.outlines import bearing, degrees, outline, place

FURTHEST = 500  # miles
# where a job stands, in words
STAGES: Mapping[Stage, str] = {
    Stage.LEAD: "Caller",
    Stage.DESIGN: "In design",
    Stage.OFFERED: "Offered",
    Stage.SIGNED: "Signed",
    Stage.BUILDING: "Being built",
    Stage.DONE: "Done",
    Stage.LOST: "Went elsewhere",
}
MEASURED = choice("measured", "How it was measured", [m.value for m in Measured], empty="sketch")


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


def drawn_line(name: str) -> Group:
    """A line typed by its points, with arcs: the text `NAME` gives `points` and `rises`."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        typed = str(form.get(name, ""))[:MOST_TEXT].strip()
        texts = Texts({name: typed})
        if not typed:
            return Parsed(values={"points": (), "rises": ()}, typed=texts)
        try:
            points, rises = parse_line(typed, system=firm.system)
        except OutlayError as wrong:
            return Parsed(errors=Texts({name: wrong.sentence}), typed=texts)
        return Parsed(values={"points": points, "rises": rises}, typed=texts)

    return Group(name=name, label="", reader=reader)


FORMS: Mapping[str, tuple[Field | Group, ...]] = {
    "client": (
        text("name", "Name", required=True),
        text("second_name", "Second name"),
        text("phone", "Phone"),
        text("email", "Email"),
        text("street", "Street"),
        text("town", "Town"),
        text("state", "State"),
        text("postal_code", "Postal code"),
        text("found_us", "How they found us"),
        text("private_note", "Private note", most=4_000),
    ),
    "job": (
        text("title", "What the job is called", required=True),
        text("street", "Street"),
        text("town", "Town"),
        text("state", "State"),
        text("postal_code", "Postal code"),
        choice("stage", "Stage", [s.value for s in Stage], required=True),
        text("next_step", "Next step"),
        day("next_day", "On which day"),
        day("first_call", "First call"),
        day("wanted_start", "Wanted start"),
        day("wanted_done", "Wanted done"),
        money("budget_low_cents", "Budget from"),
        money("budget_high_cents", "Budget to"),
        text("association", "Association"),
        text("association_rules", "Association rules", most=4_000),
        text("story", "Title of the proposal", most=300),
        choice("price_shown", "How the price is shown", [p.value for p in PriceShown], required=True),
        count("holds_days", "Days it holds", least=1, most=365),
        choice("paper", "Paper", ["letter", "a4"]),
        lines("exclusions", "What is not included"),
        early_wishes("early", "Early range"),
        money("design_fee_cents", "Design fee"),
        text("design_words", "What you get", most=4_000),
        count("design_revisions", "Revisions", most=20),
        choice("design_credit", "Counts toward the build", ["yes", "no"]),
        text("drawings_owner", "Who owns the drawings", most=400),
        text("firm_price_by", "Who goes on to a firm price"),
        text("firm_price_reason", "Why", most=1_000),
        text("private_note", "Private note", most=4_000),
    ),
    "site": (
        outline("lot", "Lot"),
        outline("house", "House"),
        degrees("north", "North"),
        text("datum", "Measured from"),
        choice("access", "Access", ["easy", "tight", "hard"]),
        length("access_width", "Narrowest way in"),
        length("haul_distance", "Distance from the truck"),
        miles("haul_off_miles", "Miles to the dump"),
        slope("slope", "Slope"),
        choice("soil", "Soil", ["sand", "loam", "clay", "rock", "fill"]),
        area("lot_area", "Lot area"),
        portion("coverage_limit", "Hard surface allowed"),
        area("coverage_before", "Hard surface today"),
        text("setbacks", "Setbacks", most=2_000),
        text("easements", "Easements", most=2_000),
        count("built_year", "House built in", least=1600, most=2200),
        answers("private_lines", PRIVATE_LINES),
        text("private_lines_note", "Where the private lines run", most=2_000),
        text("sun_note", "Sun", most=2_000),
        text("water_note", "Where water stands or runs", most=2_000),
        day("seen_on", "Seen on"),
    ),
    "need": (
        text("words", "What they ask for", required=True, most=500),
        yes("must", "Must have"),
        things("zone_ids", "Met by"),
    ),
    "zone": (
        text("letter", "Letter", most=2),
        text("title", "What the zone is called", required=True),
        choice("kind", "What it is for", [k.value for k in ZoneKind], required=True),
        text("words", "In plain words", most=2_000),
        thing("phase_id", "Phase"),
        thing("chosen_id", "Chosen"),
        text("private_note", "Private note", most=4_000),
    ),
    "alternative": (
        text("title", "What this way is called", required=True),
        outline("outline", "Outline"),
        MEASURED,
        length("level", "Finish level", signed=True),
        slope("fall", "Fall"),
        text("fall_toward", "Falls toward"),
        bearing("fall_bearing", "Water runs to"),
        place("level_at", "Its level holds at"),
    ),
    "run": (
        text("title", "What the line is called", required=True),
        choice("kind", "Kind", [k.value for k in RunKind], required=True),
        thing("zone_id", "Zone"),
        thing("phase_id", "Phase"),
        length("length", "Length"),
        length("height", "Height"),
        count("corners", "Corners", most=200),
        count("ends", "Ends", most=200),
        drawn_line("points"),
        lengths("under", "Below finished surfaces", ("zone",)),
        MEASURED,
    ),
    "feature": (
        text("title", "What it is called", required=True),
        thing("zone_id", "Zone"),
        thing("phase_id", "Phase"),
        count("count", "How many", least=1, most=2_000),
        length("x", "To the right of the datum", signed=True),
        length("y", "In front of the datum", signed=True),
        area("area", "Area"),
        length("length", "Length"),
        length("thickness", "Thickness"),
        length("height", "Height"),
    ),
    "existing": (
        text("title", "What it is called", required=True),
        choice("kind", "Kind", list(EXISTING_KINDS), required=True),
        choice("fate", "What happens to it", [f.value for f in Fate], required=True),
        outline("outline", "Outline"),
        count("count", "How many", least=1, most=500),
        area("area", "Area"),
        length("length", "Length"),
        length("thickness", "Thickness"),
        length("height", "Height"),
        thing("phase_id", "Phase"),
    ),
    "edge": (
        thing("zone_id", "Zone", required=True),
        text("neighbor", "Neighbor", required=True),
        choice("choice", "Decided", [c.value for c in EdgeChoice], required=True),
        length("length", "Length"),
        length("curved_length", "Curved part", empty=0.0),
        length("drop", "Drop", signed=True, empty=0.0),
        length("gap", "Gap", empty=0.0),
    ),
    "choice": (
        text("role", "For what", required=True),
        text("material", "Material", required=True),
        thing("zone_id", "Zone"),
        day("chosen_on", "Chosen on"),
        text("chosen_by", "Chosen by"),
        text("sample", "From which sample"),
    ),
    "phase": (
        count("number", "Number", least=1, most=20),
        text("title", "What the phase is called", required=True),
        day("start", "Start"),
        day("done", "Done"),
        choice("firmness", "How its price holds", [f.value for f in Firmness], required=True),
        day("firm_until", "Firm if started by"),
        share("rise", "Rise"),
        text("words", "In plain words", most=2_000),
    ),
    "allowance": (
        text("title", "Allowance for", required=True),
        money("cents", "Amount", required=True),
        thing("zone_id", "Zone"),
        thing("phase_id", "Phase"),
        text("words", "What it covers", most=1_000),
    ),
    "unit_price": (
        text("title", "What may be found", required=True),
        text("unit", "Per", required=True),
        money("cents", "Price", required=True),
    ),
    "payment": (
        text("event", "Paid when", required=True),
        thing("phase_id", "Phase"),
        share("share", "Share"),
        money("cents", "Amount"),
    ),
    "work": (text("title", "What it is called here"), thing("phase_id", "Phase")),
    "photo": (
        text("caption", "What it shows", most=500),
        choice("when", "When", ["before", "during", "after", "sample"], required=True),
        text("place", "Where"),
        day("taken", "Taken on"),
    ),
}
