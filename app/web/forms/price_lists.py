"""The forms of a price list: how it is to be read, and which of its rows are taken."""

from dataclasses import replace

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.pricebook import COLUMNS, Reading
from app.services.price_list_taking import Picks
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, day, read, text

MOST_COLUMNS = 60
MOST_PICKED = 900  # rows a page may say something about


def _columns(form: FormData, _firm: Firm) -> Parsed:
    """What each column is: inputs `column.N`, none left out between."""
    found: list[str] = []
    for at in range(MOST_COLUMNS):
        said = form.get(f"column.{at}")
        if said is None:
            break
        found.append(str(said) if said in COLUMNS else "")
    return Parsed(values={"columns": tuple(found)})


READING: tuple[Field | Group, ...] = (
    Group(name="column", label="Columns", reader=_columns),
    text("supplier", "Whose list it is", most=90),
    text("new_supplier", "A supplier not in the list"),
    day("priced_on", "Prices of"),
    day("valid_until", "Good until"),
    text("unit", "Unit of all prices", most=20),
    choice("comma", "Decimals", ["point", "comma"]),
    choice("day_first", "Days", ["month", "day"]),
)


def reading_of(form: FormData, firm: Firm, suppliers: object) -> tuple[Parsed, Reading | None]:
    """How the form says the list reads; None where it cannot be understood."""
    parsed = read(form, READING, firm)
    values = dict(parsed.values)
    known = suppliers if isinstance(suppliers, dict) else {}
    if values.get("supplier") and values["supplier"] not in known:
        wrong = BadValue("Choose a supplier of the list, or type the name of a new one.", field="supplier")
        return parsed.refused(wrong), None
    if not parsed.ok:
        return parsed, None
    values["comma"], values["day_first"] = values.get("comma") == "comma", values.get("day_first") == "day"
    if values.get("new_supplier"):
        values["supplier"] = ""
    return parsed, Reading(**{"columns": (), **{name: value for name, value in values.items() if value is not None}})


def picks_of(form: FormData) -> tuple[Parsed, Picks]:
    """Which rows are taken: `safe`, `leave` (row numbers), `row.N` (a material's key), `add` with `role`."""
    doubtful = {
        int(name[4:]): str(value)
        for name, value in list(form.multi_items())[:MOST_PICKED]
        if name.startswith("row.") and name[4:].isdecimal() and len(name) < 12 and value
    }
    left = {int(one) for one in form.getlist("leave") if isinstance(one, str) and one.isdecimal() and len(one) < 8}
    picks = Picks(
        seen=str(form.get("seen", "")),
        safe=bool(form.get("safe")),
        doubtful=doubtful,
        left_out=left,
        add=bool(form.get("add")),
        role=str(form.get("role", ""))[:60].strip(),
    )
    return replace(Parsed(), typed=Texts()), picks
