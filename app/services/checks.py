"""The Checks sheet's business: settle an open point, take that back, fill a missing price, the firm's own rules."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from uuid import UUID, uuid4

from app.db.repositories import things
from app.domain.basis import Price, Rule
from app.domain.change import Edit
from app.domain.checks import every_caution, may_settle
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.findings import Severity
from app.domain.job import Allowance, Settlement
from app.interchange.library_file import Caution
from app.services import changes, jobs
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.sheets import Sheet, sheet

ESTIMATE_RULES = ("known-", "apart-", "weather-", "market-", "slow-")
LEAST_REASON = 3  # letters: less says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """Who goes on in spite of a finding, and why."""

    by: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """Money set aside for a material without a price: a selling price, printed as an allowance."""

    material: str
    cents: int
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleLine:
    """A rule as it holds, beside the shipped one."""

    rule: Rule
    shipped: Rule | None

    @property
    def of_estimate(self) -> bool:
        """Whether it says how an estimate is known and how far it may move, and checks nothing."""
        return self.rule.id.startswith(ESTIMATE_RULES)

    @property
    def own(self) -> bool:
        """Whether the firm has its own value."""
        return self.shipped is None or self.rule != self.shipped


def settled_by(office: Office, finding: str, going: Going, settlement_id: UUID | None = None) -> Settlement:
    """What is written down of whoever goes on in spite of a point (its key)."""
    return Settlement(
        id=settlement_id or uuid4(),
        finding=finding,
        by=going.by.strip(),
        reason=going.reason.strip(),
        on=office.clock(),
    )


def refuse_unsaid(going: Going, why: str, then: str = "go on") -> None:
    """Refuse a going-on without a name or without a reason; `why` is what the reason is to say. Raises: BadValue."""
    if not going.by.strip():
        raise BadValue(f"Your name is missing: say who goes on. Type it, then {then}.", field="by")
    if len(going.reason.strip()) < LEAST_REASON:
        raise BadValue(f"The reason is missing: say {why}. Type it, then {then}.", field="reason")


def settle(office: Office, job_id: UUID, finding_key: str, going: Going, order: Order) -> Applied:
    """Go on in spite of an open point, with name and reason; it comes back when what it rests on changes.

    Raises: BadValue without a name or reason, NotFound when it is not open (any more), Refused where law stops.
    """
    refuse_unsaid(going, "why it is all right", "settle again")
    finding = next((one for one in sheet(office, job_id).findings if one.key == finding_key), None)
    if finding is None:
        raise NotFound("This point is not open any more. Look at the list again.")
    if not may_settle(finding):
        raise Refused("There is no way round this one: law or safety asks for it. Change the plan as it says.")
    one = settled_by(office, finding.key, going)
    return jobs.save(office, job_id, (made("settlement", one),), replace(order, what=f"Settled: {finding.what[:60]}"))


def unsettle(office: Office, job_id: UUID, settlement_id: UUID, order: Order) -> Applied:
    """Put a settled point back on the list.

    Raises: NotFound.
    """
    opened = jobs.open_job(office, job_id)
    edits = jobs.removal(opened, "settlement", settlement_id)
    return jobs.save(office, job_id, edits, replace(order, what="Open again"))


def set_aside(office: Office, job_id: UUID, aside: Aside, order: Order) -> Applied:
    """Set money aside for a material without a price, as an allowance that the proposal prints.

    It stands in the one zone that needs the material, else in the whole job.
    Raises: BadValue for no amount or when the allowance is there already, NotFound where no price is missing.
    """
    if aside.cents <= 0:
        raise BadValue("An allowance needs an amount above zero. Type what it may sell for.", field="cents")
    view = sheet(office, job_id)
    missing = {one.where for one in view.findings if one.rule == "price-missing"}
    material = view.basis.materials.get(aside.material)
    if material is None or f"material:{aside.material}" not in missing:
        raise NotFound("No price is missing for that material (any more).")
    needed = [one for one in view.estimate.requirements if one.key == aside.material and one.kind == "material"]
    one = Allowance(
        id=uuid4(),
        title=material.title,
        cents=aside.cents,
        zone_id=_only({one.zone for one in needed}),
        phase_id=_only({one.phase for one in needed}),
        words=aside.words,
        material=aside.material,
    )
    return jobs.save(office, job_id, (made("allowance", one),), replace(order, what=f"Allowance: {material.title}"))


def _only(ids: set[str]) -> UUID | None:
    """The id when there is just one, and it is one."""
    one = next(iter(ids)) if len(ids) == 1 else ""
    return UUID(one) if one not in {"", "job"} else None


def set_price(office: Office, material: str, unit_price: Decimal, order: Order) -> Applied:
    """Put the price of a material into the firm's price book, as of today.

    Raises: NotFound for a material that is not in the library.
    """
    known = office.basis().materials.get(material)
    if known is None:
        raise NotFound("The library has no such material (any more).")
    today = office.today()
    row = _own_row(office, "price", material)
    if row is None:
        price = Price(material=material, unit_price=unit_price, priced_on=today)
        edit = Edit(kind="price", thing_id=material, version=0, before=None, after=changes.fields_of(price, "price"))
    else:
        edit = jobs.changed("price", material, row.version, {"unit_price": unit_price, "priced_on": today})
    return jobs.save(office, None, (edit,), replace(order, what=f"Price of {known.title}"))


def rules(office: Office) -> tuple[RuleLine, ...]:
    """Every rule as it holds for the firm, by its title."""
    lines = (RuleLine(rule=rule, shipped=office.shipped.rules.get(key)) for key, rule in office.basis().rules.items())
    return tuple(sorted(lines, key=lambda line: line.rule.title))


def rule_line(office: Office, rule_id: str) -> RuleLine:
    """One rule.

    Raises: NotFound.
    """
    rule = office.basis().rules.get(rule_id)
    if rule is None:
        raise NotFound("There is no such rule (any more).")
    return RuleLine(rule=rule, shipped=office.shipped.rules.get(rule_id))


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnValue:
    """The firm's own value of a rule, how loud it speaks, and why it differs."""

    value: float
    severity: str
    reason: str


def set_rule(office: Office, rule_id: str, own: OwnValue, order: Order) -> Applied:
    """Give a rule the firm's own value, with the reason (the town's code, a date, a name).

    Raises: NotFound; BadValue without a reason or for a severity that is none.
    """
    line = rule_line(office, rule_id)
    if len(own.reason.strip()) < 3:
        raise BadValue(
            "The reason is missing: say where the firm's own value comes from (the town's code, who said so, when).",
            field="reason",
        )
    if own.severity not in {Severity.STOP, Severity.WARN, Severity.NOTE}:
        raise BadValue("Choose whether it stops, warns or is only noted.", field="severity")
    fields = {"value": own.value, "severity": own.severity, "reason": own.reason.strip()}
    row = _own_row(office, "rule", rule_id)
    if row is None:
        new = to_plain({**changes.fields_of(line.rule, "rule"), **fields})
        edit = Edit(kind="rule", thing_id=rule_id, version=0, before=None, after=new)
    else:
        edit = jobs.changed("rule", rule_id, row.version, fields)
    return jobs.save(office, None, (edit,), replace(order, what=f"Rule: {line.rule.title}"))


def shipped_rule(office: Office, rule_id: str, order: Order) -> Applied:
    """Go back to the shipped value of a rule.

    Raises: NotFound when the firm has no value of its own.
    """
    row = _own_row(office, "rule", rule_id)
    if row is None or rule_id not in office.shipped.rules:
        raise NotFound("This rule has its shipped value already.")
    edit = Edit(kind="rule", thing_id=rule_id, version=row.version, before={}, after=None)
    return jobs.save(office, None, (edit,), replace(order, what=f"Rule back: {rule_id}"))


def _own_row(office: Office, kind: str, key: str) -> things.Row | None:
    with office.database.read() as connection:
        return things.read_thing(connection, office.firm_id, kind, key)


def cautions_in_words(office: Office, view: Sheet) -> tuple[Caution, ...]:
    """The cautions that apply to a job, in full words."""
    return told(office, every_caution(view.job, view.basis))


def told(office: Office, keys: tuple[str, ...]) -> tuple[Caution, ...]:
    """Cautions by key, in the library's order; a key without words is left out."""
    known: Mapping[str, Caution] = office.cautions
    return tuple(one for key, one in known.items() if key in keys)
