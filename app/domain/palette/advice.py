"""What a designer would point out about a palette, in plain words: never that it is wrong, and never a stop."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from app.domain.basis import Basis, Rule
from app.domain.costing.estimate import Estimate
from app.domain.job import Job
from app.domain.palette.color import difference, reflectance
from app.domain.palette.families import NAMES, WORDS, Limits, belongs, family_of_job, limits_of
from app.domain.palette.instead import price_instead
from app.domain.palette.members import HOUSE_PARTS, Member, Touching, members_of, touching
from app.domain.palette.mending import Mend, mends, suits_all
from app.domain.palette.sun_on import index_from_color
from app.domain.units import System, format_length

MOST_WORKS = (
    600  # works that are estimated again for the prices of mends: in a large job fewer mends have theirs at once
)
_SELLS = re.compile(r"\b(sell|selling|resale|for sale)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """One thing pointed out: which rule, about which members, in words with its figures; what would mend it."""

    rule: str
    about: tuple[str, ...]  # keys of members, the one that a mend would replace first
    title: str
    words: str
    measured: str = ""
    limit: str = ""
    source: str = ""
    instead_of: str = ""  # key of the member that the mends replace
    mends: tuple[Mend, ...] = ()
    nothing_mends: bool = False  # looked for in the price book, and not found


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A palette as it is: its members, who touches whom, the family of the whole, what is pointed out."""

    members: tuple[Member, ...] = ()
    touching: tuple[Touching, ...] = ()
    family: str = ""
    remarks: tuple[Remark, ...] = ()
    missing: tuple[str, ...] = ()  # parts of the house whose color nobody told

    @property
    def family_words(self) -> str:
        """The family of the job in words; empty where nothing has a color yet."""
        return WORDS.get(self.family, "")


def sale_is_near(job: Job) -> bool:
    """Whether the house is to be sold soon: as asked, else as the words of a need say."""
    if job.head.sale_near:
        return job.head.sale_near == "yes"
    return any(_SELLS.search(need.words) for need in job.needs)


def advice(job: Job, basis: Basis, worked: Estimate) -> Advice:
    """All that is to be said about the colors of a job as it is drawn and chosen."""
    members = members_of(job, basis, worked)
    met = touching(job, members)
    limits = limits_of(basis.rules)
    missing = tuple(title for name, title in HOUSE_PARTS if not getattr(job.site, name))
    if limits is None:
        return Advice(members=members, touching=met, missing=missing)
    family = family_of_job(members, limits)
    looked = _Looked(basis, limits, members, met, family)
    found = (*looked.family_broken(), *looked.edges(), *looked.sun(), *looked.sale(sale_is_near(job)))
    remarks = tuple(_priced(job, basis, worked, found))
    return Advice(members=members, touching=met, family=family, remarks=remarks, missing=missing)


def _priced(job: Job, basis: Basis, worked: Estimate, remarks: Sequence[Remark]) -> Iterator[Remark]:
    """The remarks with what their mends do to the price of the whole job, the nearest of each remark first."""
    ranked = sorted((rank, place) for place, one in enumerate(remarks) for rank in range(len(one.mends)))
    pairs = dict.fromkeys((remarks[place].instead_of, remarks[place].mends[rank].material) for rank, place in ranked)
    most = MOST_WORKS // max(len(job.works), 1)
    differences = {pair: price_instead(job, basis, worked, *pair) for pair in islice(pairs, most)}
    for one in remarks:
        told = ((mend, differences.get((one.instead_of, mend.material))) for mend in one.mends)
        mended = tuple(replace(mend, price_cents=other.cents) if other else mend for mend, other in told)
        yield replace(one, mends=mended) if mended else one


class _Looked:
    """A palette under the rules."""

    def __init__(
        self, basis: Basis, limits: Limits, members: Sequence[Member], met: Sequence[Touching], family: str
    ) -> None:
        self.basis, self.limits, self.family = basis, limits, family
        self.members = {one.key: one for one in members}
        self.met = met
        self.beside: Mapping[str, list[Member]] = {key: [] for key in self.members}
        for pair in met:
            if pair.length >= limits.edge_least:
                self.beside[pair.one].append(self.members[pair.other])
                self.beside[pair.other].append(self.members[pair.one])

    @property
    def system(self) -> System:
        return self.basis.firm.system

    def family_broken(self) -> Iterator[Remark]:
        """What does not go with the family of the job; of a mixed one, that it is."""
        if self.family == "mixed":
            yield self._mixed()
        if self.family not in {"warm", "neutral"}:
            return
        for one in self.members.values():
            if belongs(one, self.family, self.limits):
                continue
            stands = "stands already; let what touches it be chosen to it" if one.fixed else "does not go with them"
            yield self._remark(
                "share",
                one,
                f"{one.title} breaks the family",
                f"The yard is of {WORDS[self.family]}. {one.title}{_where(one)} {stands}.",
            )

    def _mixed(self) -> Remark:
        """Of a mix: what would have to change for one family, the least ground of it."""
        laid = [one for one in self.members.values() if not one.fixed]
        strange = {
            family: [one for one in laid if not belongs(one, family, self.limits)] for family in ("warm", "neutral")
        }
        family, others = min(
            strange.items(), key=lambda pair: (sum(one.area for one in pair[1]), len(pair[1]), pair[0])
        )
        named = ", ".join(one.title for one in others)
        words = f"No family has most of the ground. It would be of {WORDS[family]} without: {named}."
        return self._said("share", tuple(one.key for one in others), "Warm and gray are mixed", words)

    def edges(self) -> Iterator[Remark]:
        """Neighbors too alike to read as an edge, or too far apart to belong."""
        for pair in self.met:
            if pair.length < self.limits.edge_least:
                continue
            one, other = self._changed_first(pair)
            away = difference(one.lab, other.lab)
            where = f"{_places(pair)}, {format_length(pair.length, self.system)} of edge"
            if away < self.limits.alike:
                words = (
                    f"{one.title} and {other.title} lie side by side ({where}) and are nearly of one color: from "
                    "standing height the edge is lost. A contrasting border, or another of the two, makes it read."
                )
                yield self._remark("alike", one, "Too alike to read as an edge", words, away, other)
            elif away > self.limits.apart:
                words = (
                    f"{one.title} and {other.title} lie side by side ({where}) and are so far apart that the edge is "
                    "louder than either. One in between, or a border that has something of both, ties them."
                )
                yield self._remark("apart", one, "Too far apart to belong", words, away, other)

    def _changed_first(self, pair: Touching) -> tuple[Member, Member]:
        """The one of two that a mend would replace first: never the house, else what covers less."""
        one, other = self.members[pair.one], self.members[pair.other]
        return (other, one) if (one.fixed, one.area, one.key) > (other.fixed, other.area, other.key) else (one, other)

    def sun(self) -> Iterator[Remark]:
        """What glares, and what grows hot where people go barefoot."""
        for one in self.members.values():
            if not one.area:
                continue
            given_back, index = reflectance(one.lab), index_from_color(one.lab)
            if given_back > self.limits.glare:
                yield self._said(
                    "glare",
                    (one.key,),
                    f"{one.title} is bright in full sun",
                    f"It gives back about {given_back:.0%} of the light{_where(one)}. At noon in summer that is "
                    "squinted at; shade, a rougher face or a darker border help.",
                    measured=f"about {given_back:.0%} of the light",
                )
            elif one.bare_feet and index < self.limits.hot:
                yield self._said(
                    "hot",
                    (one.key,),
                    f"{one.title} grows hot underfoot",
                    f"People go barefoot on it ({', '.join(one.bare_feet)}). By its color alone its index is about "
                    f"{index:.0f}; what the eye does not see of the sun may make it cooler or hotter. Lay a sample "
                    "in the sun at noon and stand on it.",
                    measured=f"index about {index:.0f}",
                )

    def sale(self, near: bool) -> Iterator[Remark]:
        """Earth tones are the safer choice where the house is to be sold soon."""
        if near and self.family in {"neutral", "mixed"}:
            yield Remark(
                rule="palette-sale",
                about=(),
                title="The house is to be sold soon",
                words=f"The yard is of {WORDS[self.family]}. Earth tones are the safer choice then: more buyers take "
                "to them, and they go with more houses. It is a matter of odds, not of taste.",
                source="Common practice, no source",
            )

    def _remark(
        self, name: str, one: Member, title: str, words: str, away: float | None = None, other: Member | None = None
    ) -> Remark:
        """A remark that another material in place of `one` could mend."""
        mended = mends(one, self.basis, suits_all(one, self.beside, self.family, self.limits))
        said = self._said(
            name,
            (one.key, other.key) if other else (one.key,),
            title,
            words,
            measured=f"ΔE {away:.0f}" if away is not None else "",
            mended=mended,
        )
        return replace(said, nothing_mends=not mended and not one.fixed)

    def _said(
        self,
        name: str,
        about: tuple[str, ...],
        title: str,
        words: str,
        *,
        measured: str = "",
        mended: tuple[Mend, ...] = (),
    ) -> Remark:
        rule = self.basis.rules[NAMES[name]]
        return Remark(
            rule=rule.id,
            about=about,
            title=title,
            words=words,
            measured=measured,
            limit=_limit(rule),
            source=rule.source + (f"; the firm's own value: {rule.reason}" if rule.reason else ""),
            instead_of=about[0] if mended else "",
            mends=mended,
        )


def _limit(rule: Rule) -> str:
    return f"{rule.value:.0%} of the ground" if rule.unit == "share" else f"{rule.value:g} {rule.unit}"


def _where(one: Member) -> str:
    return f" ({', '.join(one.letters)})" if one.letters else ""


def _places(pair: Touching) -> str:
    return "; ".join(f"{one} and {other}" for one, other in pair.places)
