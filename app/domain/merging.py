"""What two places made of the same job since it was at both: field by field what either changed, and what to ask.

`base` is the job as it left, `here` as it is here now, `away` as it comes back. A field that only one side changed is
taken from that side; one that both changed to different values is asked. A thing that one side took out while the
other went on with it is asked as well, with all that went with it. Nothing is chosen silently, so no value is lost.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

from app.domain.change import Edit, Fields
from app.domain.codec import to_plain
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Job
from app.domain.job.letters import first_free
from app.domain.job.naming import HANGING

Key = tuple[str, str]  # kind of thing, its id
Things = Mapping[Key, Fields]

HERE, AWAY = "here", "away"
SIDES = (HERE, AWAY)
# which prices a place goes by, and which number the job has there, is its own
NOT_MERGED: Mapping[str, frozenset[str]] = {"job": frozenset({"basis_file", "number"})}
# fields without which a thing cannot be: kind → names
NEEDED: Mapping[str, tuple[str, ...]] = {
    kind: tuple(name for held in HANGING.values() for one, name in held if one == kind)
    for kind in {one for held in HANGING.values() for one, _ in held}
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldChange:
    """A field that only one side changed, or both to the same value (`side` is then here)."""

    key: Key
    name: str
    before: Any
    after: Any
    side: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What both changed: one field (`name`), or whole things (`name` empty) that `gone_on` took out and the other kept.

    `here` and `away` are the values of the field. `with_it` are things of the other side that cannot be without them.
    """

    keys: tuple[Key, ...]
    name: str = ""
    before: Any = None
    here: Any = None
    away: Any = None
    gone_on: str = ""
    with_it: tuple[Key, ...] = ()

    @property
    def id(self) -> str:
        """By what a pick names it."""
        kind, thing_id = self.keys[0]
        return f"{kind}:{thing_id}:{self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """What a merge comes to before anything was picked."""

    base: Things
    here: Things
    away: Things
    changed: tuple[FieldChange, ...]
    made: Mapping[str, tuple[Key, ...]]  # by side
    gone: Mapping[str, tuple[Key, ...]]  # by side, without those that are asked
    questions: tuple[Question, ...]
    settled: Things  # all that is not asked; of a field that is asked the value it has here

    @property
    def changes_nothing(self) -> bool:
        """Whether here stays exactly as it is."""
        return not self.questions and dict(self.settled) == dict(self.here)


def things_of(job: Job) -> Things:
    """A job's things by kind and id, as plain fields; what is each place's own is left out."""
    found: dict[Key, Fields] = {}
    for kind, (_, place) in JOB_THINGS.items():
        held = getattr(job, place)
        for thing in held if isinstance(held, tuple) else (held,):
            left_out = NOT_MERGED.get(kind, frozenset()) | {"id"}
            plain = {one.name: to_plain(getattr(thing, one.name)) for one in fields(thing) if one.name not in left_out}
            found[kind, str(thing.id)] = plain
    return found


def merge(base: Things, here: Things, away: Things) -> Merge:
    """Three states of a job held against each other.

    >>> key = ("zone", "z")
    >>> both = merge({key: {"title": "A", "letter": "A"}}, {key: {"title": "B", "letter": "A"}},
    ...              {key: {"title": "A", "letter": "C"}})
    >>> dict(both.settled)
    {('zone', 'z'): {'title': 'B', 'letter': 'C'}}
    """
    asked = tuple(_torn(base, here, away))
    torn = {key for one in asked for key in (*one.keys, *one.with_it)}
    settled: dict[Key, Fields] = {}
    changed: list[FieldChange] = []
    questions: list[Question] = []
    for key in sorted({*here, *away}):
        mine, theirs, old = here.get(key), away.get(key), base.get(key)
        if key in torn:
            continue
        if mine is not None and theirs is not None:
            settled[key] = _fields(key, old or {}, mine, theirs, changed, questions)
        elif old is None:
            settled[key] = mine if mine is not None else theirs or {}
    sides = {HERE: here, AWAY: away}
    return Merge(
        base=base,
        here=here,
        away=away,
        changed=tuple(changed),
        made={side: tuple(sorted(sides[side].keys() - base.keys() - torn)) for side in SIDES},
        gone={side: tuple(sorted(base.keys() - sides[side].keys() - torn)) for side in SIDES},
        questions=(*asked, *questions),
        settled=settled,
    )


def _fields(
    key: Key, old: Fields, mine: Fields, theirs: Fields, changed: list[FieldChange], questions: list[Question]
) -> Fields:
    """The fields of a thing that both have; what was changed is told, what is torn asked."""
    made: dict[str, Any] = {}
    for name in {**mine, **theirs}:
        before, here, away = old.get(name), mine.get(name), theirs.get(name)
        made[name] = away if old and here == before else here
        if here == away:
            if here != before and old:
                changed.append(FieldChange(key=key, name=name, before=before, after=here, side=HERE))
        elif before in (here, away) and old:
            side = AWAY if here == before else HERE
            changed.append(FieldChange(key=key, name=name, before=before, after=made[name], side=side))
        else:
            questions.append(Question(keys=(key,), name=name, before=before, here=here, away=away))
    return made


def _torn(base: Things, here: Things, away: Things) -> Iterator[Question]:
    """What one side took out and the other went on with: things that went together are asked together."""
    for side, took_out, kept in ((HERE, here, away), (AWAY, away, here)):
        gone = {key for key in base if key not in took_out and key in kept}
        new = _newly_named(base, kept)
        for group in _together(gone, kept):
            ids = {thing_id for _, thing_id in group}
            touched = any(kept[key] != base[key] for key in group)
            if touched or any(one in new for one in ids):
                hangs = tuple(sorted(_hanging(kept, ids) - took_out.keys() - set(group)))
                yield Question(keys=tuple(sorted(group, key=_depth)), gone_on=side, with_it=hangs)


def _depth(key: Key) -> tuple[int, Key]:
    """Zones and the like before what hangs on them."""
    return (len(NEEDED.get(key[0], ())), key)


def _newly_named(base: Things, kept: Things) -> set[str]:
    """Ids that fields changed or things made on a side name, and that the base did not name there."""
    found: set[str] = set()
    for key, held in kept.items():
        before = base.get(key)
        if before is None or before != held:
            found |= set(_names(held)) - set(_names(before or {}))
    return found


def _together(gone: set[Key], kept: Things) -> list[list[Key]]:
    """Things that were taken out in groups of those that name one another."""
    by_id = {thing_id: (kind, thing_id) for kind, thing_id in gone}
    group: dict[Key, Key] = {key: key for key in gone}

    def root(key: Key) -> Key:
        while group[key] != key:
            key = group[key]
        return key

    for key in sorted(gone):
        for name in _names(kept[key]):
            if name in by_id:
                group[root(key)] = root(by_id[name])
    found: dict[Key, list[Key]] = {}
    for key in sorted(gone):
        found.setdefault(root(key), []).append(key)
    return list(found.values())


def _hanging(kept: Things, ids: set[str]) -> set[Key]:
    """Things that cannot be without those of these ids, however far down."""
    known, found = set(ids), set[Key]()
    while True:
        more = {
            key
            for key, held in kept.items()
            if key not in found and any(held.get(name) in known for name in NEEDED.get(key[0], ()))
        }
        if not more:
            return found
        found |= more
        known |= {thing_id for _, thing_id in more}


def _names(held: Any) -> Iterator[str]:
    """Ids of other things that plain fields name, however deep."""
    for name, value in held.items():
        if name.endswith("_id") and isinstance(value, str):
            yield value
        elif name.endswith("_ids") and isinstance(value, list | tuple):
            yield from value
        elif isinstance(value, list | tuple):
            yield from (one for each in value if isinstance(each, Mapping) for one in _names(each))


def picked(found: Merge, picks: Mapping[str, str]) -> Things:
    """The things as they come to be with a side picked for every question.

    Raises: BadValue while a question has no pick.
    """
    things: dict[Key, Fields] = dict(found.settled)
    for one in found.questions:
        side = picks.get(one.id, "")
        if side not in SIDES:
            raise BadValue("Something was changed both here and away. Choose one of the two values.", field=one.id)
        if one.name:
            key = one.keys[0]
            things[key] = {**things[key], one.name: one.here if side == HERE else one.away}
        elif side != one.gone_on:
            kept = found.here if side == HERE else found.away
            things |= {key: kept[key] for key in (*one.keys, *one.with_it)}
    lost = {thing_id for _, thing_id in {*found.here, *found.away, *found.base}}
    return _without_loose_ends(things, lost - {thing_id for _, thing_id in things})


def with_letters_apart(here: Things, then: Things) -> Things:
    """The things as they come to be, each zone with a letter of its own: one that has its letter here keeps it.

    >>> apart = with_letters_apart({("zone", "a"): {"letter": "B"}},
    ...                            {("zone", "a"): {"letter": "B"}, ("zone", "z"): {"letter": "B"}})
    >>> apart["zone", "z"]["letter"]
    'A'
    """
    zones = {key: held["letter"] for key, held in then.items() if key[0] == "zone"}
    taken = {letter for key, letter in zones.items() if here.get(key, {}).get("letter") == letter}
    wanted = taken | set(zones.values())
    found = dict(then)
    for key, letter in sorted(zones.items(), key=lambda one: (one[1], one[0])):
        if here.get(key, {}).get("letter") == letter:
            continue
        if letter in taken:
            letter = first_free(wanted)  # noqa: PLW2901 - the one it came with is taken here
            found[key] = {**found[key], "letter": letter}
        taken.add(letter)
        wanted.add(letter)
    return found


def _without_loose_ends(things: dict[Key, Fields], lost: set[str]) -> Things:
    """Nothing names what was taken out: a thing that cannot be without it goes too, any other name is cleared."""
    for key in _hanging(things, lost):
        del things[key]
        lost.add(key[1])
    return {key: {**held, **_cleared(held, lost)} for key, held in things.items()}


def _cleared(held: Fields, lost: set[str]) -> Fields:
    many = {name: value for name, value in held.items() if name.endswith("_ids") and not lost.isdisjoint(value or ())}
    one = {name: None for name, value in held.items() if name.endswith("_id") and value in lost}
    return {**{name: [each for each in value if each not in lost] for name, value in many.items()}, **one}


def edits_to(now: Things, then: Things, versions: Mapping[Key, int]) -> tuple[Edit, ...]:
    """The edits that make one state of the other: things made first, those taken out last."""
    made = [key for key in then if key not in now]
    gone = [key for key in now if key not in then]
    edits = [Edit(kind=key[0], thing_id=key[1], version=0, before=None, after=then[key]) for key in made]
    for key, held in then.items():
        if key in now and (new := {name: value for name, value in held.items() if now[key].get(name) != value}):
            edits.append(Edit(kind=key[0], thing_id=key[1], version=versions.get(key, 0), before={}, after=new))
    last = sorted(gone, key=_depth, reverse=True)
    out = [Edit(kind=key[0], thing_id=key[1], version=versions.get(key, 0), before={}, after=None) for key in last]
    return (*edits, *out)
