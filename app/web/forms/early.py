"""The wishes of the first call: for each kind of zone none, small, medium, large, or an area as typed."""

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.costing.early import SIZES
from app.domain.errors import OutlayError
from app.domain.job import ZoneKind
from app.web.forms.fields import Group, Parsed, Texts


def early_wishes(name: str, label: str) -> Group:
    """Inputs `NAME.KIND.size`, `NAME.KIND.area` and `NAME.KIND.was` (the area as it was shown).

    An area that was typed anew counts before a size; a size tapped beside an old area takes its place.
    """
    return Group(name=name, label=label, reader=lambda form, firm: _read(form, firm, name))


def _read(form: FormData, firm: Firm, name: str) -> Parsed:
    wishes: dict[str, str] = {}
    errors, typed = Texts(), Texts()
    for kind in ZoneKind:
        size, area, was = (str(form.get(f"{name}.{kind.value}.{part}", "")).strip() for part in ("size", "area", "was"))
        typed[f"{name}.{kind.value}.size"], typed[f"{name}.{kind.value}.area"] = size, area
        if area and (area != was or not size):
            try:
                wishes[kind.value] = f"{units.parse_area(area, system=firm.system).value:g}"
            except OutlayError as wrong:
                errors[f"{name}.{kind.value}.area"] = wrong.sentence
        elif size in SIZES:
            wishes[kind.value] = size
    return Parsed(values={name: wishes}, errors=errors, typed=typed)
