"""What differs by place: the rule that holds where a yard lies, the strictest known where nobody reviewed the place.

A place's set is complete where each topic has a row of its region, or the firm's own value with its reason. Where one
has neither, the strictest value that was looked up anywhere speaks, and says so.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from app.domain.basis import Basis, Firm, Rule
from app.domain.job import Job

# what differs by place: the rule that holds everywhere, what the rows of regions begin with, and the strictest known
DIG, WALL, FIRE, DEPOSIT = "dig-by-hand", "wall-height", "fire-distance-wood", "deposit-share"
STRICTEST: Mapping[str, str] = {
    DIG: DIG,
    WALL: "wall-height-strict",
    FIRE: FIRE,
    DEPOSIT: "deposit-share-strict",
}
TITLES: Mapping[str, str] = {
    DIG: "Digging by hand beside marks",
    WALL: "Walls that hold back earth",
    FIRE: "Open wood fires",
    DEPOSIT: "Deposit at signing",
}


def region_of(job: Job, firm: Firm) -> str:
    """The state of the yard as typed, else the firm's region, else its state; empty where nobody said."""
    return job.head.state or job.client.state or firm.region or firm.state


def is_of(region: str, named: str) -> bool:
    """Whether a row's region (`PA, Pennsylvania`) is the one that was typed: its letters, or its name at the start.

    >>> is_of("PA, Pennsylvania", "pa"), is_of("PA, Pennsylvania", "Pennsylvania, reviewed")
    (True, True)
    >>> is_of("CA, California", "PA")
    False
    """
    letters, _, name = region.lower().partition(", ")
    said = named.strip().lower()
    return bool(said) and (said == letters or said.startswith(name or letters + " "))


def rules_of(basis: Basis, prefix: str, named: str) -> tuple[Rule, ...]:
    """The rules whose id begins with `prefix` and that hold in a region."""
    return tuple(one for key, one in basis.rules.items() if key.startswith(prefix) and is_of(one.region, named))


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionRule:
    """The rule of one topic in a place. `reviewed`: it is of the region, or the firm's own with its reason."""

    topic: str
    rule: Rule
    reviewed: bool

    @property
    def title(self) -> str:
        """What differs by place."""
        return TITLES[self.topic]


def rule_in(basis: Basis, topic: str, named: str) -> RegionRule | None:
    """The rule of a topic in a place: the region's, else the firm's own, else the strictest known; None without any."""
    rows = rules_of(basis, f"{topic}-", named)
    if rows:
        return RegionRule(topic=topic, rule=min(rows, key=lambda one: one.value), reviewed=True)
    general, strict = basis.rules.get(topic), basis.rules.get(STRICTEST[topic])
    own = next((one for one in (general, strict) if one is not None and one.reason.strip()), None)
    if own is not None:
        return RegionRule(topic=topic, rule=own, reviewed=True)
    return RegionRule(topic=topic, rule=strict, reviewed=False) if strict is not None else None


def region_set(basis: Basis, named: str) -> tuple[RegionRule, ...]:
    """What differs by place, as it holds in one."""
    return tuple(found for topic in STRICTEST if (found := rule_in(basis, topic, named)) is not None)


def said_unreviewed(one: RegionRule, named: str) -> Rule:
    """The rule, with words in its source where nobody reviewed the place."""
    if one.reviewed:
        return one.rule
    place = named.strip() or "this place"
    words = f"not reviewed for {place}: the strictest value that was looked up holds; ask there and change the rule"
    return replace(one.rule, source=f"{one.rule.source}; {words}")


def regions_known(basis: Basis) -> Iterator[str]:
    """Every region that a rule speaks of, each once, in order."""
    yield from sorted({one.region for one in basis.rules.values() if one.region.strip()})
