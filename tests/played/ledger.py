"""What must be so after each step of the play, told in plain values: the oracle beside the real office.

It says the rules a second time, in their own words, and knows nothing of tables, services or pages. A thing is named by
its kind and id; only the fields that are played with are in it.
"""

from dataclasses import dataclass, field
from typing import Any, NamedTuple

Fields = dict[str, Any]


class Name(NamedTuple):
    """Which thing."""

    kind: str
    id: str


class Scope(NamedTuple):
    """Where somebody's changes stand one after the other: a job (none: the firm), and who."""

    job: str
    who: str


@dataclass(frozen=True)
class Step:
    """What happened to one thing: the version it then had, by which change, and what it was in those fields before."""

    version: int
    change: str
    before: Fields | None  # None: it was made


@dataclass
class Thing:
    """A thing as it must be now; `fields` None: it is gone."""

    fields: Fields | None
    version: int
    steps: list[Step] = field(default_factory=list)


@dataclass(frozen=True)
class Edit:
    """One edit of a change: fields None makes nothing and takes the thing out; `made` makes it."""

    name: Name
    fields: Fields | None
    read_at: int
    made: bool = False


@dataclass
class Entry:
    """A change that was taken: its edits with what was before, and the version each thing then had."""

    id: str
    scope: Scope
    edits: list[tuple[Name, Fields | None, Fields | None, int]] = field(default_factory=list)  # name, before, after
    undoes: str = ""
    closes: bool = False  # an offer, a signature: nothing before it is undone
    follows: str = ""


@dataclass
class Offered:
    """An offer: who has yet to sign it, what the contract then comes to [cents], the bytes it was first handed out as."""

    job: str
    waits_for: list[str]
    after: int  # how many offers were signed before it was made: what a change was measured on
    cents: int = 0
    kind: str = "proposal"
    state: str = "offered"
    bytes: dict[str, bytes] = field(default_factory=dict)


class No(Exception):
    """It must be refused; nothing may change. The word says why."""


@dataclass
class Ledger:
    """All of it. A backup keeps a copy, a restore brings it back."""

    things: dict[Name, Thing] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)
    offers: dict[str, Offered] = field(default_factory=dict)
    jobs: set[str] = field(default_factory=set)
    way_of: dict[Name, Name] = field(default_factory=dict)  # zone → the way it is drawn

    def take(self, entry: Entry, edits: list[Edit]) -> None:
        """Apply edits in order, or none of them. Raises: No."""
        kept = {edit.name: self._copy(edit.name) for edit in edits}
        try:
            for edit in edits:
                self._apply(entry, edit)
        except No:
            for name, thing in kept.items():
                self._put(name, thing)
            raise
        self.entries.append(entry)

    def undo(self, id: str, scope: Scope) -> None:  # noqa: A002
        """Take the newest change of a scope back. Raises: No."""
        newest = self.newest(scope)
        if newest is None:
            raise No("nothing to undo")
        back = [
            Edit(name, before, version, made=after is None) for name, before, after, version in reversed(newest.edits)
        ]
        self.take(Entry(id, scope, undoes=newest.id), back)

    def newest(self, scope: Scope) -> Entry | None:
        """The newest change of a scope that still stands and may be undone."""
        undone = {one.undoes for one in self.entries}
        for one in reversed(self.entries):
            if one.scope == scope and (one.closes or (one.edits and not one.undoes and one.id not in undone)):
                return None if one.closes else one
        return None

    def known(self, id: str) -> bool:  # noqa: A002
        """Whether a change was taken."""
        return any(one.id == id for one in self.entries)

    def there(self, kind: str) -> list[Name]:
        """The things of a kind that are there, in the order in which they were made."""
        return [name for name, thing in self.things.items() if name.kind == kind and thing.fields is not None]

    def _apply(self, entry: Entry, edit: Edit) -> None:
        thing = self.things.get(edit.name)
        if edit.made:
            version = thing.version + 1 if thing else 1
            steps = thing.steps if thing else []
            self.things[edit.name] = Thing(dict(edit.fields or {}), version, [*steps, Step(version, entry.id, None)])
            entry.edits.append((edit.name, None, edit.fields, version))
            return
        if thing is None or thing.fields is None:
            if edit.fields is None:
                return
            raise No("gone")
        since = self._since(thing, edit.read_at, entry.follows)
        if edit.fields is None:
            if since:
                raise No("somebody went on with it")
            self._note(entry, edit.name, thing, dict(thing.fields), None)
            return
        after = self._settled(thing, edit.fields, since)
        if after:
            before = {name: thing.fields[name] for name in after}
            self._note(entry, edit.name, thing, before, after)

    def _settled(self, thing: Thing, wanted: Fields, since: list[Step]) -> Fields:
        """The fields that are written: left as they were read they are not, changed by both they are refused."""
        after = {}
        for name, value in wanted.items():
            touched = [step.before[name] for step in since if step.before and name in step.before]
            if (touched and touched[0] == value) or thing.fields[name] == value:  # type: ignore[index]
                continue
            if touched:
                raise No("both changed it")
            after[name] = value
        return after

    def _note(self, entry: Entry, name: Name, thing: Thing, before: Fields, after: Fields | None) -> None:
        thing.version += 1
        thing.steps.append(Step(thing.version, entry.id, before))
        thing.fields = None if after is None else {**(thing.fields or {}), **after}
        entry.edits.append((name, before, after, thing.version))

    def _since(self, thing: Thing, version: int, follows: str) -> list[Step]:
        """What others did to a thing after it was read at a version; a change and its undo cancel out."""
        later = [step for step in thing.steps if step.version > version]
        undoes = {one.id: one.undoes for one in self.entries}
        ids = {step.change for step in later}
        gone = {one for step in later if undoes.get(step.change) in ids for one in (step.change, undoes[step.change])}
        return [step for step in later if step.change not in gone | self._chain(follows)]

    def _chain(self, follows: str) -> set[str]:
        """The changes a device made one after the other, up to the one that is named."""
        by_id, chain = {one.id: one for one in self.entries}, set()
        while follows in by_id and follows not in chain:
            chain.add(follows)
            follows = by_id[follows].follows
        return chain

    def _copy(self, name: Name) -> Thing | None:
        known = self.things.get(name)
        return Thing(known.fields and dict(known.fields), known.version, list(known.steps)) if known else None

    def _put(self, name: Name, thing: Thing | None) -> None:
        if thing is None:
            self.things.pop(name, None)
        else:
            self.things[name] = thing
