"""Checks: what is open before signing, settled by whom, the rules with the firm's own values, the cautions."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain import units
from app.domain.basis import Firm, Rule
from app.domain.checks.regions import region_of, region_set
from app.domain.checks.rules import is_share, value_of
from app.domain.errors import BadValue
from app.domain.findings import Severity
from app.services import checks
from app.services.checks import Aside, Going, OwnValue
from app.services.office import Office
from app.services.points import sections, settled_points
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Field, Parsed, choice, money, order_of, read, text
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/checks")

SETTLE = (
    text("finding", "Point", required=True, most=4_000),
    text("by", "Your name", required=True),
    text("reason", "Why it is all right", required=True, most=1_000),
)
ASIDE = (
    text("material", "Material", required=True),
    money("cents", "It may sell for", required=True),
    text("words", "What it covers", most=1_000),
)
PRICE = (
    text("material", "Material", required=True),
    Field(name="price", label="Price", required=True, reader=lambda typed, _firm: units.parse_price(typed)),
)
LOUD = (Severity.STOP, Severity.WARN, Severity.NOTE)


@router.get("")
async def show_checks(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The list, the rules and the cautions."""
    return show(request, office, job_id, "checks", focus=focus)


@router.post("/settle")
async def settle(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Go on in spite of a point, with name and reason."""
    form = await request.form()
    parsed = read(form, SETTLE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: checks.settle(
            office,
            job_id,
            parsed.values["finding"],
            Going(by=parsed.values["by"], reason=parsed.values["reason"]),
            order_of(form, "Settled"),
        ),
    )
    return show(request, office, job_id, "checks", saved=saved)


@router.post("/settlement/{settlement_id}/remove")
async def open_again(request: Request, office: OfficeHere, job_id: UUID, settlement_id: UUID) -> Response:
    """A settled point back on the list."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: checks.unsettle(office, job_id, settlement_id, order_of(form, "Open again")))
    return show(request, office, job_id, "checks", saved=saved)


@router.post("/aside")
async def set_aside(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Money set aside for a missing price, as a printed allowance."""
    form = await request.form()
    parsed = read(form, ASIDE, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: checks.set_aside(office, job_id, Aside(**parsed.values), order_of(form, "Allowance"))
    )
    return show(request, office, job_id, "checks", saved=saved)


@router.post("/price")
async def set_price(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A missing price typed into the price book."""
    form = await request.form()
    parsed = read(form, PRICE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: checks.set_price(office, parsed.values["material"], parsed.values["price"], order_of(form, "Price")),
    )
    return show(request, office, job_id, "checks", saved=saved)


@router.post("/rule/{rule_id}")
async def set_rule(request: Request, office: OfficeHere, job_id: UUID, rule_id: str) -> Response:
    """The firm's own value of a rule, with its reason."""
    form = await request.form()
    parsed = read(form, rule_form(checks.rule_line(office, rule_id).rule), office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: checks.set_rule(office, rule_id, OwnValue(**parsed.values), order_of(form, "Rule"))
    )
    return show(request, office, job_id, "checks", focus=f"rule:{rule_id}", saved=saved)


@router.post("/rule/{rule_id}/shipped")
async def shipped_rule(request: Request, office: OfficeHere, job_id: UUID, rule_id: str) -> Response:
    """Back to the shipped value."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: checks.shipped_rule(office, rule_id, order_of(form, "Rule")))
    return show(request, office, job_id, "checks", focus=f"rule:{rule_id}", saved=saved)


TIMES = "times the hours"  # unit of the rules that say what slows work
LEAST_TIMES, MOST_TIMES = 0.1, 10.0


def rule_form(rule: Rule) -> tuple[Field, ...]:
    """The fields of a rule: its value is read in the rule's own unit."""
    return (
        Field(name="value", label="Value", required=True, reader=lambda typed, firm: _value(typed, rule, firm)),
        choice("severity", "How loud", list(LOUD), required=True),
        text("reason", "Where it comes from", required=True, most=1_000),
    )


def _value(typed: str, rule: Rule, firm: Firm) -> float:
    """A rule's value as typed: a length, a slope, or a plain number."""
    if rule.unit in {"ft", "in"}:
        feet = units.parse_length(typed, unit=rule.unit, system=firm.system).feet
        return feet * 12 if rule.unit == "in" else feet
    if rule.unit == "rise over run":
        return units.parse_slope(typed, system=firm.system).value
    if is_share(rule):
        return share_typed(typed)
    try:
        value = float(typed.replace(",", ""))
    except ValueError:
        raise BadValue(f"“{typed}” is not a number. Type digits, as in {units.format_number(rule.value)}.") from None
    if rule.unit == TIMES and not LEAST_TIMES <= value <= MOST_TIMES:
        raise BadValue(
            f"{typed} was typed; hours are multiplied by {LEAST_TIMES:g} to {MOST_TIMES:g}. 1 slows nothing."
        )
    if not 0 <= value < 1e9:
        raise BadValue(f"{typed} was typed; it must be a number from 0 up.")
    return value


def share_typed(typed: str) -> float:
    """A share as typed: `30%` or `0.3`. Raises: BadValue where it is none."""
    digits = typed.strip().removesuffix("%").replace(",", "").strip()
    try:
        value = float(digits) / (100 if "%" in typed else 1)
    except ValueError:
        raise BadValue(f"“{typed}” is not a share. Type it as in 30%.") from None
    if not 0 <= value <= (10 if "%" in typed else 1):
        raise BadValue(f"{typed} was typed; a share is typed as in 30%, or as in 0.3.")
    return value


def rule_typed(rule: Rule, firm: Firm) -> str:
    """A rule's value as its field holds it."""
    if rule.unit == "rise over run":
        return f"{rule.value * 100:g}%"
    if is_share(rule):
        return units.format_share(rule.value, 4)
    return value_of(rule, firm.system) if rule.unit in {"ft", "in"} else f"{rule.value:g}"


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    firm = view.basis.firm
    lines = checks.rules(office)
    line = next((one for one in lines if focus == f"rule:{one.rule.id}"), None)
    return {
        "sections": sections(view),
        "settled": settled_points(view.readiness, view),
        "rules": [(one, value_of(one.rule, firm.system)) for one in lines],
        "line": line,
        "region": region_of(view.job, firm),
        "places": [(one, value_of(one.rule, firm.system)) for one in region_set(view.basis, region_of(view.job, firm))],
        "line_typed": rule_typed(line.rule, firm) if line else "",
        "line_shipped": value_of(line.shipped, firm.system) if line and line.shipped else "",
        "cautions": checks.cautions_in_words(office, view),
        "who": office.who() if firm.owner else "",
        "louds": [(one.value, {"stop": "stops", "warn": "warns", "note": "is noted"}[one.value]) for one in LOUD],
    }


register(SheetPage(key="checks", title="Checks", template="checks/page.html", give=_give))
