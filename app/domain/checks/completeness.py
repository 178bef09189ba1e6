"""What is still open before a job can be signed: needs, edges, finishes, the budget, work counted twice, the papers."""

from collections.abc import Callable, Iterator
from functools import lru_cache

from app.domain.basis import Firm, FirmPage
from app.domain.checks.ground import levels_contradict, levels_do_not_close, marks_without_place, tapes_disagree
from app.domain.checks.yard import Placed, Yard
from app.domain.costing.estimate import Estimate
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import EdgeChoice, Existing, Fate, Job, zones_by_key
from app.domain.plan.between import overlap
from app.domain.takeoff.laid import WITH_PATTERN
from app.domain.takeoff.measures import zone_title
from app.domain.takeoff.meeting import undecided
from app.domain.units import format_area, format_length, format_money

EXCAVATES = "excavating machine"  # role of the part that takes soil out below a zone
LAST = (1, "", "")  # what is no zone comes after those that are
SAME_SOIL = 1.0  # sq ft: less in common is drawing noise


def unmet_needs(yard: Yard) -> Iterator[Finding]:
    """Must-haves that no zone meets."""
    for need in yard.job.needs:
        if need.must and not any(zone_id in yard.zones for zone_id in need.zone_ids):
            yield Finding(
                rule="need-unmet",
                severity=Severity.WARN,
                where=f"need:{need.id}",
                what=f"They must have “{need.words}”, and no zone meets it yet.",
                measured=need.words,
                limit="met by a zone",
                remedy="Say on the Client sheet which zone meets it, or make it a nice to have.",
            )


def open_edges(yard: Yard) -> Iterator[Finding]:
    """Where two zones, or a zone and the house, meet without a decision how."""
    zones = zones_by_key(yard.job.zones)
    sides: dict[tuple[str, str], float] = {}
    for stretch in [met.stretch for met in undecided(yard.meetings)]:
        pair = (stretch.zone, stretch.neighbor)
        sides[pair] = sides.get(pair, 0.0) + stretch.length
    drawn = {frozenset((met.stretch.zone, met.neighbor)) for met in yard.meetings} if yard.job.edges else set()
    for typed in yard.job.edges:
        pair = (str(typed.zone_id), typed.neighbor)
        if typed.zone_id in yard.zones and frozenset(pair) not in drawn and typed.choice is EdgeChoice.OPEN:
            sides[pair] = typed.length or 0.0
    order = {key: (0, zone.letter, key) for key, zone in zones.items()}
    meeting: dict[tuple[str, str], float] = {}
    for (one, other), length in sides.items():
        pair = (one, other) if order.get(one, LAST) <= order.get(other, LAST) else (other, one)
        meeting[pair] = max(meeting.get(pair, 0.0), length)
    for (own, other), length in meeting.items():
        measured = format_length(length, yard.basis.firm.system) if length else "length not known"
        yield _open_edge(own, zone_title(zones[own]), yard.neighbor(other), measured)


@lru_cache(maxsize=8192)
def _open_edge(own: str, title: str, other: str, measured: str) -> Finding:
    return Finding(
        rule="edge-open",
        severity=Severity.WARN,
        where=f"zone:{own}",
        what=f"{title} meets {other}: how is not decided.",
        measured=f"{measured} to {other}",
        limit="decided",
        remedy="Choose the edge on the plan: what is built there, or nothing.",
    )


def open_finishes(yard: Yard) -> Iterator[Finding]:
    """Finishes the client sees that nobody chose yet: the recipe's own stands in for them."""
    everywhere = {choice.role for choice in yard.job.choices if choice.zone_id is None}
    here = {(choice.zone_id, choice.role) for choice in yard.job.choices}
    for placed in yard.placed:
        zone_id = placed.zone.id if placed.zone else None
        for part in yard.parts(placed):
            standing = yard.basis.materials.get(part.material)
            if standing is None or not standing.finish or part.role in placed.work.finishes:
                continue
            if part.role in everywhere or (zone_id, part.role) in here or part.role in WITH_PATTERN:
                continue  # borders are chosen with their pattern
            yield Finding(
                rule="finish-open",
                severity=Severity.WARN,
                where=f"work:{placed.work.id}",
                what=f"{placed.place}, {placed.title}: the {part.role} is not chosen; counted with {standing.title}.",
                measured=f"{part.role}: {standing.key}",
                limit="chosen",
                remedy="Choose it on the Palette sheet.",
            )


def colors_missing(yard: Yard) -> Iterator[Finding]:
    """Chosen finishes without a color: they are in no palette and in no drawing of the yard."""
    found: dict[str, dict[str, None]] = {}
    titles: dict[str, str] = {}
    for placed in yard.placed:
        for one in yard.finishes(placed):
            if not one.color and not one.blend:
                titles[one.key] = one.title
                found.setdefault(one.key, {})[placed.place] = None
    for key, places in found.items():
        yield Finding(
            rule="color-missing",
            severity=Severity.NOTE,
            where=f"material:{key}",
            what=f"{titles[key]} has no color, so neither palette nor drawings show it ({', '.join(places)}).",
            measured=key,
            limit="a color",
            remedy="Give it one in the library: typed, or picked from a photo of the sample beside a white card.",
        )


def counted_twice(yard: Yard) -> Iterator[Finding]:
    """Lawn that is stripped where a zone's own digging takes the same soil."""
    digging = [one for one in yard.placed if one.where.startswith("zone:") and _excavates(yard, one)]
    for thing in yard.job.existing:
        if thing.kind != "turf" or thing.fate is not Fate.GOES or not yard.on(f"existing:{thing.id}"):
            continue
        yield from _twice(yard, thing, digging)


def _excavates(yard: Yard, placed: Placed) -> bool:
    return any(part.role == EXCAVATES for part in yard.parts(placed))


def _twice(yard: Yard, thing: Existing, digging: list[Placed]) -> Iterator[Finding]:
    name = thing.title or "Lawn that goes"
    remedy = "Leave the stripping out where the zone digs: outline only the lawn beside it, or take the work off."
    if thing.outline is None:
        if digging:
            yield Finding(
                rule="counted-twice",
                severity=Severity.NOT_CHECKED,
                where=f"existing:{thing.id}",
                what=f"{name} is stripped; without its outline nobody can tell whether a zone digs there as well.",
                measured="outline",
                remedy="Type its outline, or see that its area leaves out the zones that dig.",
            )
        return
    system = yard.basis.firm.system
    for placed in digging:
        outline = yard.outlines.get(placed.zone.id) if placed.zone else None
        common = overlap(outline, thing.outline) if outline else 0.0
        if common > SAME_SOIL:
            yield Finding(
                rule="counted-twice",
                severity=Severity.WARN,
                where=f"existing:{thing.id}",
                what=f"{name} is stripped where {placed.place} digs as well: the same soil is paid for twice.",
                measured=f"{format_area(common, system)} under {placed.place}",
                limit="once",
                remedy=remedy,
            )


def paid_twice(yard: Yard) -> Iterator[Finding]:
    """Allowances that stand for a material that has its price by now."""
    for one in yard.job.allowances:
        if one.material and one.material in yard.basis.prices:
            yield Finding(
                rule="allowance-and-price",
                severity=Severity.WARN,
                where=f"allowance:{one.id}",
                what=f"“{one.title}” stands for a material that has a price by now: both are in the estimate.",
                measured=one.material,
                limit="one of the two",
                remedy="Take the allowance out.",
            )


def over_budget(job: Job, estimate: Estimate, currency: str) -> Iterator[Finding]:
    """A price above what the client said, and a budget that nobody asked for."""
    top = job.head.budget_high_cents
    price = estimate.firm_price_cents if estimate.firm_price_cents is not None else estimate.range.likely
    if not price:
        return
    if top is None:
        yield Finding(
            rule="budget",
            severity=Severity.NOT_CHECKED,
            where="client",
            what="The budget is not known, so the price has nothing to stand beside.",
            measured="budget",
            remedy="Ask for a band on the Client sheet.",
        )
    elif price > top:
        measured = format_money(round(price, -5), currency)
        yield Finding(
            rule="budget",
            severity=Severity.WARN,
            where="client",
            what="The price stands above the client's budget.",
            measured=f"about {measured}",
            limit=f"at most {format_money(top, currency)}",
            remedy="Choose a simpler alternative, move a zone to a later phase, or talk about it before the visit.",
        )


def papers(firm: Firm) -> Iterator[Finding]:
    """What the firm's own papers lack before anybody signs; the rules differ by state."""
    for field, what, remedy in (
        ("name", "The firm has no name yet.", "Type the name the contract is signed under on the Firm sheet."),
        (
            "street",
            "The firm has no street address: a client who cancels is told to write to it.",
            "Type street and town on the Firm sheet.",
        ),
        (
            "license",
            "No license number is given. Many states want it on every contract.",
            "Type it on the Firm sheet, or settle this: some states ask for none.",
        ),
    ):
        if not getattr(firm, field):
            yield _paper(field, what, remedy)
    if not _reviewed(firm.terms):
        what = "The firm's terms are not there, or nobody has said who reviewed them and when."
        yield _paper("terms", what, "Add the terms on the Firm sheet with the name of who reviewed them.")
    for notice in firm.notices:
        if not _reviewed(notice):
            what = f"Notice “{notice.title}”: nobody has said who reviewed it and when."
            yield _paper(f"notice {notice.title}", what, "Say on the Firm sheet who reviewed it, and when.")
    if not firm.notices:
        what = "No notices are on file. Many states want a notice of the right to cancel and of liens with a contract."
        yield _paper("notices", what, "Add what your state asks for on the Firm sheet, or settle this with a reason.")


def _reviewed(page: FirmPage | None) -> bool:
    return page is not None and bool(page.text or page.file) and bool(page.reviewed_by) and page.reviewed_on is not None


def _paper(measured: str, what: str, remedy: str) -> Finding:
    return Finding(
        rule="papers",
        severity=Severity.STOP,
        where="firm",
        what=what,
        measured=measured,
        limit="there and reviewed",
        source="State contract and licensing law; this page claims nothing about what yours asks for",
        remedy=remedy,
        stop=Stop.REGION,
    )


COMPLETENESS: tuple[Callable[[Yard], Iterator[Finding]], ...] = (
    unmet_needs,
    open_edges,
    open_finishes,
    colors_missing,
    counted_twice,
    paid_twice,
    tapes_disagree,
    marks_without_place,
    levels_do_not_close,
    levels_contradict,
)
