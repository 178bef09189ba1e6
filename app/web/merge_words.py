"""What came back from another machine told in words: what comes in, what stays, and each question with both values."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from app.domain.basis import Basis
from app.domain.change import Edit
from app.domain.merging import AWAY, HERE, FieldChange, Key, Merge, Question
from app.web.change_words import KINDS, QUIET, Telling, Told, label_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question as it stands on the page: what it is about, and what either pick comes to."""

    id: str
    about: str
    before: str
    here: str
    away: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldMerge:
    """A merge in words."""

    asked: Sequence[Asked]
    comes_in: Sequence[Told]
    stays: Sequence[Told]


def told_merge(found: Merge, telling: Telling) -> ToldMerge:
    """A merge in words: things as forms call them, fields by their labels."""
    sides = {side: telling.edits(list(_edits(found, side))) for side in (HERE, AWAY)}
    return ToldMerge(asked=[_asked(one, telling) for one in found.questions], comes_in=sides[AWAY], stays=sides[HERE])


def names_in(found: Merge, basis: Basis) -> Mapping[str, str]:
    """What each thing is called, by its id, at either side."""
    names: dict[str, str] = {}
    for (_, thing_id), held in (*found.base.items(), *found.away.items(), *found.here.items()):
        recipe = basis.assemblies.get(str(held.get("assembly") or ""))
        known = (held.get(one) for one in ("title", "words", "event", "name", "caption", "role"))
        title = next((str(one) for one in known if one), recipe.title if recipe else "")
        if title:
            names[thing_id] = title[:80]
    return names


def _edits(found: Merge, side: str) -> Iterable[Edit]:
    """What one side alone did, as edits: one for each thing."""
    own = sorted((one for one in found.changed if one.side == side), key=lambda one: one.key)
    for key, fields in groupby(own, key=lambda one: one.key):
        held: list[FieldChange] = list(fields)
        yield _edit(key, {one.name: one.before for one in held}, {one.name: one.after for one in held})
    state = found.here if side == HERE else found.away
    for key in found.made[side]:
        yield _edit(key, None, dict(state[key]))
    for key in found.gone[side]:
        yield _edit(key, dict(found.base[key]), None)


def _edit(key: Key, before: dict[str, object] | None, after: dict[str, object] | None) -> Edit:
    return Edit(kind=key[0], thing_id=key[1], version=0, before=before, after=after)


def _asked(one: Question, telling: Telling) -> Asked:
    about = _called(one.keys[0], telling)
    if one.name:
        label = "Order in the list" if one.name in QUIET else label_of(one.keys[0][0], one.name)
        here, away, before = (telling.words(one.name, value) for value in (one.here, one.away, one.before))
        return Asked(id=one.id, about=f"{about}: {label}", before=before, here=here, away=away)
    kept = "kept as it is now" + _with((*one.keys[1:], *one.with_it), telling)
    out = "taken out" + _with(one.with_it, telling)
    sides = {one.gone_on: out, HERE if one.gone_on == AWAY else AWAY: kept}
    return Asked(id=one.id, about=about, before="", here=sides[HERE], away=sides[AWAY])


def _with(keys: Sequence[Key], telling: Telling) -> str:
    return f", with {', '.join(dict.fromkeys(_called(key, telling) for key in keys))}" if keys else ""


def _called(key: Key, telling: Telling) -> str:
    kind = KINDS.get(key[0], key[0].replace("_", " ").capitalize())
    name = telling.names.get(key[1], "")
    return f"{kind} “{name}”" if name else kind
