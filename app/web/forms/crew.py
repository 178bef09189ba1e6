"""The form of the firm's crew: a name and a language a line, and what the yard sends of a day."""

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.people import LANGUAGES, CrewMember, key_for
from app.web.forms.fields import Field, Group, Parsed, Texts, text

MOST_CREW, LONGEST_NAME = 40, 60
EMPTY_ROWS = 2

CHECK = (
    text("part", "What it belongs to", required=True, most=200),
    text("words", "The check", required=True, most=400),
    text("name", "Name", most=LONGEST_NAME),
    text("other", "Somebody else", most=LONGEST_NAME),
)
ON = (
    text("part", "What it belongs to", required=True, most=200),
    Field(name="people", label="Who", reader=lambda typed, _firm: typed[:60], empty=(), many=True),
)


def crew_rows(name: str) -> Group:
    """Inputs `NAME.key.N`, `NAME.name.N`, `NAME.language.N`; a line without a name is nobody."""
    return Group(name=name, label="The crew", reader=lambda form, firm: _read(form, firm, name))


def _read(form: FormData, _firm: Firm, name: str) -> Parsed:
    errors, typed = Texts(), Texts()
    found: list[CrewMember] = []
    taken = {_text(form, f"{name}.key.{at}", 60) for at in range(MOST_CREW)}
    for at in range(MOST_CREW):
        said, language = _text(form, f"{name}.name.{at}", 400), _text(form, f"{name}.language.{at}", 5) or "en"
        typed[f"{name}.name.{at}"], typed[f"{name}.language.{at}"] = said, language
        if len(said) > LONGEST_NAME:
            errors[f"{name}.name.{at}"] = f"This name has {len(said)} letters; {LONGEST_NAME} at most. Shorten it."
        if language not in LANGUAGES:
            errors[f"{name}.name.{at}"] = f"“{language}” is no language of the sheets. Choose English or Spanish."
        if not said or errors:
            continue
        key = _text(form, f"{name}.key.{at}", 60) or key_for(said, taken | {one.key for one in found})
        if any(one.key == key for one in found):
            key = key_for(said, taken | {one.key for one in found})
        found.append(CrewMember(key=key, name=said, language=language))  # type: ignore[arg-type]
    return Parsed(values={} if errors else {name: tuple(found)}, errors=errors, typed=typed)


def _text(form: FormData, name: str, most: int) -> str:
    said = form.get(name, "")
    return " ".join(said.replace("\x00", "").split())[:most] if isinstance(said, str) else ""
