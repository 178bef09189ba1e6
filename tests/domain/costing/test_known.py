"""The class of an estimate follows from what is known, thing by thing; the firm's rules say from which class it is asked."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest

from app.domain.basis import Basis, CostClass, Rule
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.known import _ASKED, FIRM_FROM, Facts, Standing, standing
from app.domain.findings import Finding, Severity
from app.domain.job import PRIVATE_LINES, Answer, Choice, Job, Risk
from app.interchange.estimate_classes import estimate_classes
from app.interchange.library_file import load_library
from tests.domain.costing.test_estimate import sketched
from tests.domain.costing.three_zones import BASIS, JOB

DATED = replace(BASIS, prices={key: replace(one, priced_on=date(2027, 2, 1)) for key, one in BASIS.prices.items()})
SETTLED = replace(
    JOB,
    risks=(Risk(id=UUID(int=901), title="Old footings"),),
    site=replace(
        JOB.site,
        haul_distance=60.0,
        slope=0.03,
        soil="loam",
        private_lines=dict.fromkeys(PRIVATE_LINES, Answer.NO),
    ),
)


def class_of(job: Job, basis: Basis = BASIS, today: date | None = None) -> Standing:
    worked: Estimate = estimate(job, basis)
    return standing(Facts(job, basis, worked.requirements, worked.purchases, worked.findings, today))


def asked(rule: str, from_class: float) -> Basis:
    one = Rule(id=rule, title="Asked", value=from_class)
    return replace(BASIS, rules={**BASIS.rules, rule: one})


def lacking(found: Standing) -> dict[str, list[str]]:
    return {one.key: [each.what for each in one.lacking] for one in found.known if one.lacking}


def test_everything_known_is_the_best_class() -> None:
    found = class_of(SETTLED, DATED)
    assert (found.number, lacking(found), found.next_step) == (5, {}, ())


def test_a_site_nobody_saw_is_a_first_word_however_well_it_is_drawn() -> None:
    found = class_of(replace(SETTLED, site=replace(SETTLED.site, seen_on=None)), DATED)
    assert found.number == 1
    assert [one.key for one in found.next_step] == ["known-seen"]
    assert [one.where for one in found.next_step[0].lacking] == ["site"]


def test_a_missing_price_keeps_it_a_look() -> None:
    prices = {key: one for key, one in DATED.prices.items() if key != "mulch"}
    found = class_of(SETTLED, replace(DATED, prices=prices))
    assert found.number == 2
    assert found.next_step[0].lacking[0].where == "material:mulch"


def test_a_sketch_keeps_it_a_plan_and_no_price_is_firm() -> None:
    found = class_of(sketched(SETTLED), DATED)
    assert found.number == 3
    assert not found.may_be_firm
    assert "A Terrace is a sketch; tape it." in lacking(found)["known-taped"]


def test_taped_and_seen_may_be_firm_with_the_ground_and_buried_lines_still_open() -> None:
    found = class_of(JOB)
    assert (found.number, found.may_be_firm) == (4, True)
    assert set(lacking(found)) == {"known-ground", "known-lines", "known-held", "known-risks"}
    assert "How steep it is is not known." in lacking(found)["known-ground"]


def test_undated_and_stale_prices_are_told_by_supplier() -> None:
    undated = lacking(class_of(SETTLED))["known-held"]
    assert undated
    assert all("without a day" in one for one in undated)
    aged = replace(DATED.prices["stone"], valid_until=None, priced_on=date(2027, 1, 4))
    basis = replace(DATED, prices={**DATED.prices, "stone": aged})
    assert class_of(SETTLED, basis, date(2027, 4, 4)).number == 5
    stale = lacking(class_of(SETTLED, basis, date(2027, 4, 5)))["known-held"]
    assert len(stale) == 1
    assert "1 price" in stale[0]
    assert "no longer good" in stale[0]


def test_stale_prices_keep_a_price_from_being_firm_where_the_firm_asks_for_them_first() -> None:
    aged = {key: replace(one, valid_until=None, priced_on=date(2027, 1, 4)) for key, one in DATED.prices.items()}
    basis = replace(asked("known-held", 4), prices=aged)
    fresh, late = (estimate(SETTLED, basis, day) for day in (date(2027, 4, 4), date(2027, 4, 5)))
    assert (fresh.firm, late.firm) == (True, False)
    assert all("no longer good" in one for one in late.reasons)
    assert fresh.price_cents == late.price_cents


def test_a_finish_that_the_recipe_chose_is_open_until_the_client_chooses_it() -> None:
    paver = replace(DATED.materials["paver"], finish=True)
    basis = replace(DATED, materials={**DATED.materials, "paver": paver})
    found = class_of(SETTLED, basis)
    assert lacking(found) == {"known-finishes": ["The finish is not chosen; Paver stands in for it."]}
    choice = Choice(id=JOB.head.id, role="finish", material="paver")
    assert class_of(replace(SETTLED, choices=(choice,)), basis).number == 5


def test_what_is_easily_forgotten_keeps_it_a_plan_until_it_is_answered() -> None:
    worked = estimate(SETTLED, DATED)
    open_point = Finding(rule="reminder-open", severity=Severity.STOP, where="forgotten", what="2 things are open.")
    found = standing(Facts(SETTLED, DATED, worked.requirements, worked.purchases, (*worked.findings, open_point)))
    assert (found.number, [one.key for one in found.next_step]) == (3, ["known-answered"])


def test_a_subcontractor_without_a_day_is_no_quote() -> None:
    permit = replace(DATED.materials["permit"], cost_class=CostClass.SUBCONTRACT)
    basis = replace(DATED, materials={**DATED.materials, "permit": permit})
    assert lacking(class_of(SETTLED, basis)) == {"known-quoted": ["Permit has no quote with a day."]}
    held = replace(basis.prices["permit"], valid_until=date(2027, 6, 1))
    assert class_of(SETTLED, replace(basis, prices={**basis.prices, "permit": held})).number == 5


def test_the_firms_rules_move_what_is_asked_and_the_firm_price_with_it() -> None:
    assert estimate(JOB, BASIS).firm
    for key in ("known-ground", "known-lines"):
        strict = asked(key, 4)
        worked = estimate(JOB, strict)
        assert class_of(JOB, strict).number == 3
        assert not worked.firm
        assert worked.reasons == tuple(lacking(class_of(JOB, strict))[key])
    never = asked("known-taped", 6)
    assert estimate(sketched(JOB), never).firm
    assert not estimate(JOB, asked("known-firm", 5)).firm


def test_owner_goes_on_with_name_and_reason_whatever_the_class() -> None:
    head = replace(JOB.head, firm_price_by="Maren Oduya", firm_price_reason="Only a bed is open")
    assert not estimate(sketched(JOB), BASIS).firm
    assert estimate(replace(sketched(JOB), head=head), BASIS).firm


def test_shipped_rules_ask_as_a_basis_without_them_does() -> None:
    rules = load_library().rules
    assert {key: rules[key].value for key in _ASKED} == {key: one.asked_from for key, one in _ASKED.items()}
    assert rules["known-firm"].value == FIRM_FROM


@pytest.mark.parametrize("number", range(5))
def test_shipped_classes_carry_the_published_accuracy(number: int) -> None:
    # AACE International 18R-97, typical accuracy of classes 5 to 1, as restated at earlyrom.com/guide/estimate-classes
    published = [
        ((-0.20, -0.50), (0.30, 1.00)),
        ((-0.15, -0.30), (0.20, 0.50)),
        ((-0.10, -0.20), (0.10, 0.30)),
        ((-0.05, -0.15), (0.05, 0.20)),
        ((-0.03, -0.10), (0.03, 0.15)),
    ]
    one = estimate_classes().classes[number]
    assert (one.low, one.high) == published[number]
    assert one.title
    assert one.words
