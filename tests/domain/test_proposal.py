"""The proposal's own rules: what is told of price, phases, places and papers, and that nothing is left under its cover."""

from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal

import pytest

from app.domain.basis import Assembly, CostClass, FirmPage
from app.domain.costing.estimate import estimate
from app.domain.job import (
    Alternative,
    Feature,
    Firmness,
    Measured,
    Need,
    PlaceKind,
    PriceShown,
    UnitPrice,
    Work,
)
from app.domain.proposal import Amount, Proposal, proposal
from app.services.proposals import covered
from tests.domain.costing.three_zones import (
    BASIS,
    BED,
    FIRST,
    JOB,
    PATH,
    TERRACE,
    firm_with,
    key,
    outline,
    without,
    work,
)

ON = date(2027, 3, 9)


def made(job=JOB, basis=BASIS) -> Proposal:
    return proposal(job, basis, estimate(job, basis), number=1, made_on=ON, cautions={})


def shown(how: PriceShown, job=JOB):
    return replace(job, head=replace(job.head, price_shown=how))


def phased(**more):
    """The job whose second phase is told otherwise."""
    return replace(JOB, phases=(JOB.phases[0], replace(JOB.phases[1], **more)))


def sketched():
    return replace(JOB, alternatives=tuple(replace(one, measured=Measured.SKETCH) for one in JOB.alternatives))


def with_basis(**assemblies: Assembly):
    return replace(BASIS, assemblies={**BASIS.assemblies, **assemblies})


# Prices: see tests/domain/costing/test_client_prices.py
def test_price_is_firm_a_band_or_nothing_and_never_two_of_them():
    assert made().price == Amount(firm=12_472_00)
    rough = made(sketched())
    assert rough.price.firm is None
    assert rough.price.low < 12_472_00 < rough.price.high
    unknown = made(basis=without("prices", "stone"))
    assert unknown.price == Amount()
    assert unknown.reasons == ("Not everything is priced yet.",)
    assert {zone.price for zone in unknown.zones} == {None}
    assert {phase.price for phase in unknown.phases} == {Amount()}
    assert made().reasons == ()
    assert rough.reasons[0].startswith("Measured on a sketch so far: A Terrace")


@pytest.mark.parametrize(
    ("how", "zones", "whole"),
    [
        (PriceShown.WHOLE, [None, None, None], None),
        (PriceShown.PHASE, [None, None, None], None),
        (PriceShown.ZONE, [8_649_00, 2_019_00, 1_804_00], None),
        (PriceShown.LINE, [7_390_00, 1_725_00, 475_00], 2_882_00),
    ],
)
def test_price_is_broken_down_as_far_as_the_job_says(how, zones, whole):
    told = made(shown(how))
    assert [zone.price.firm if zone.price else None for zone in told.zones] == zones
    assert (told.whole_price.firm if told.whole_price else None) == whole
    items = [item.price for zone in told.zones for item in zone.items]
    assert (None not in items) == (how is PriceShown.LINE)
    assert told.price.firm == 12_472_00


def test_phases_stand_by_number_with_when_and_how_their_price_holds():
    job = replace(
        JOB,
        phases=(
            replace(JOB.phases[1], start=date(2027, 9, 1), firmness=Firmness.RISE, rise=Decimal("0.045")),
            replace(JOB.phases[0], start=date(2027, 4, 5), done=date(2027, 5, 7)),
        ),
    )
    first, second = made(job).phases
    assert (first.number, second.number) == (1, 2)
    assert first.when == "April 5, 2027 to May 7, 2027"
    assert first.holds == "firm if started by April 5, 2027"
    assert second.holds == "firm if started by September 1, 2027; after that it rises by 4.5%"
    assert (first.price, second.price) == (Amount(firm=10_668_00), Amount(firm=1_804_00))
    assert first.in_contract
    assert second.in_contract


def test_phase_without_days_is_to_be_agreed_and_a_day_that_passed_promises_nothing():
    assert made().phases[0].when == "to be agreed"
    assert made().phases[0].holds == "firm"
    assert made(phased(firm_until=ON)).phases[1].holds == "firm"
    assert made(phased(firm_until=date(2027, 3, 10))).phases[1].holds == "firm if started by March 10, 2027"
    whole = made(phased(firmness=Firmness.RISE, rise=Decimal("0.04"))).phases[1].holds
    assert whole == "firm; after that it rises by 4%"


def test_phase_that_is_a_range_is_a_band_outside_the_contract():
    told = made(phased(firmness=Firmness.RANGE))
    assert told.price == Amount(firm=10_668_00)
    second = told.phases[1]
    assert not second.in_contract
    assert second.price.firm is None
    assert second.price.low < 1_804_00 < second.price.high
    assert second.holds == "a range, outside the contract sum; priced firm before it starts"


def test_zone_page_has_its_size_needs_and_phase():
    need = Need(id=key(400), words="A table for ten", zone_ids=(TERRACE, BED))
    told = made(replace(JOB, needs=(need,)))
    assert [zone.size_sq_ft for zone in told.zones] == [300, 100, 120]
    assert [zone.phase for zone in told.zones] == ["Phase 1", "Phase 1", "Phase 2"]
    assert [zone.asked for zone in told.zones] == [("A table for ten",), (), ("A table for ten",)]
    assert [(one.words, one.must, one.letters) for one in told.asked] == [("A table for ten", True, ("A", "C"))]
    one_phase = replace(JOB, phases=JOB.phases[:1], zones=tuple(replace(z, phase_id=FIRST) for z in JOB.zones))
    assert {zone.phase for zone in made(one_phase).zones} == {""}


def test_only_the_way_that_was_chosen_is_told():
    other = outline(key(60), 9, 9, 300)
    way = replace(other, id=key(12), zone_id=TERRACE)
    job = replace(
        JOB,
        alternatives=(*JOB.alternatives, way),
        works=(*JOB.works, replace(work(106, "bed"), place=PlaceKind.ALTERNATIVE, place_id=way.id)),
    )
    told = made(job)
    assert [item.title for item in told.zones[0].items] == ["Paved"]
    assert told.whole == ()
    assert made(replace(job, zones=(replace(job.zones[0], chosen_id=way.id), *job.zones[1:]))).zones[0].items[
        0
    ].title == ("Bed")


def at_feature(number: int, feature: int) -> Work:
    return Work(id=key(number), place=PlaceKind.FEATURE, place_id=key(feature), assembly="lamp")


LAMP = Assembly(key="lamp", title="Lamp", measures="feature", words="A lamp on a spike.")
LAMPS = replace(
    JOB,
    features=(
        Feature(id=key(501), zone_id=PATH, title="Path lamp", count=3),
        Feature(id=key(502), zone_id=PATH, title="Path lamp", count=2),
        Feature(id=key(503), zone_id=PATH),
    ),
    works=(*JOB.works, at_feature(601, 501), at_feature(602, 502), at_feature(603, 503)),
)


def test_same_thing_is_told_once_with_its_count_surfaces_first():
    items = made(shown(PriceShown.LINE, LAMPS), with_basis(lamp=LAMP)).zones[1].items
    assert [(item.title, item.count, item.words) for item in items] == [
        ("Paved", 1, ""),
        ("Path lamp", 5, "A lamp on a spike."),
        ("Lamp", 1, "A lamp on a spike."),
    ]
    assert [item.price and item.price.firm for item in items] == [1_725_00, None, None]


def test_prices_of_the_same_thing_are_added():
    # two works of the same recipe on the terrace: their parts of its price together
    twice = replace(JOB, works=(*JOB.works, work(106, "paved", TERRACE)))
    for job, name in ((shown(PriceShown.LINE, twice), "firm"), (shown(PriceShown.LINE, replace(twice, alternatives=sketched().alternatives)), "low")):  # fmt: skip
        told = made(job).zones[0]
        assert [item.count for item in told.items] == [2]
        assert getattr(told.items[0].price, name) > 0
    firm = made(shown(PriceShown.LINE, twice)).zones[0]
    assert firm.items[0].price.firm == firm.price.firm - 2_500_00  # the fire bowl's allowance is told apart


def test_works_of_the_job_are_told_only_where_they_have_words():
    spoken = replace(BASIS.assemblies["permit"], words="We get the permit.")
    assert made().whole == ()
    told = made(shown(PriceShown.LINE), with_basis(permit=spoken)).whole
    assert [(item.title, item.price.firm) for item in told] == [("Permit", 864_00)]
    titled = replace(JOB, works=tuple(replace(w, title="Papers") if w.id == key(105) else w for w in JOB.works))
    assert [item.title for item in made(titled, with_basis(permit=spoken)).whole] == ["Papers"]


def test_money_set_aside_is_all_told_the_jobs_own_and_the_books():
    aside = replace(BASIS.materials["paver"], cost_class=CostClass.ALLOWANCE)
    told = made(JOB, replace(BASIS, materials={**BASIS.materials, "paver": aside})).allowances
    # 1,777.50 and 592.50 of pavers delivered: see test_estimate.py
    assert [(one.title, one.cents) for one in told] == [
        ("Fire bowl", 2_500_00),
        ("Paved", 1_777_50),
        ("Paved", 592_50),
    ]


def test_agreed_unit_prices_stand_by_title():
    rock, root = (
        UnitPrice(id=key(n), title=t, unit="cu yd", cents=c) for n, t, c in ((1, "Rock", 95_00), (2, "A root", 40_00))
    )
    told = made(replace(JOB, unit_prices=(rock, root))).unit_prices
    assert [(one.title, one.cents, one.words) for one in told] == [("A root", 40_00, "cu yd"), ("Rock", 95_00, "cu yd")]


def test_papers_the_firm_must_add_are_named_until_they_are_there():
    assert len(made().papers_missing) == 2
    terms = FirmPage(title="Terms", text="Changes in writing.", reviewed_by="A. Lawyer", reviewed_on=date(2027, 1, 4))
    notice = FirmPage(title="Cancelling", text="You may cancel.")
    printed = FirmPage(title="Printed", text="kept in the file", file="0" * 64)
    told = made(basis=firm_with(terms=terms, notices=(notice, printed)))
    assert told.papers_missing == ()
    assert told.terms == "Changes in writing."
    assert told.terms_reviewed == "Terms reviewed by A. Lawyer on January 4, 2027."
    assert told.notices == (("Cancelling", "You may cancel."),)
    assert made(basis=firm_with(terms=replace(terms, text=""))).papers_missing[0].startswith("The firm’s own terms")
    assert len(made(basis=firm_with(terms=replace(terms, text="", file="0" * 64))).papers_missing) == 1
    assert made(basis=firm_with(terms=replace(terms, reviewed_by=""))).terms_reviewed == ""
    assert (
        made(basis=firm_with(terms=replace(terms, reviewed_on=None))).terms_reviewed == "Terms reviewed by A. Lawyer."
    )


def test_cautions_are_told_in_words_where_they_are_known():
    dug = replace(BASIS.assemblies["paved"], cautions=("dig", "nobody knows"))
    told = proposal(
        JOB,
        with_basis(paved=dug),
        estimate(JOB, with_basis(paved=dug)),
        number=1,
        made_on=ON,
        cautions={"dig": ("Digging", "Call before you dig.")},
    )
    assert told.cautions == (("Digging", "Call before you dig."),)


def money_in(value: object, name: str = "") -> list[str]:
    """Every sum of money in a value, by the names of its fields: `cents`, and the figures of an amount."""
    if is_dataclass(value):
        return [found for one in fields(value) for found in money_in(getattr(value, one.name), f"{name}.{one.name}")]
    if isinstance(value, tuple):
        return [found for one in value for found in money_in(one, name)]
    told = name.rpartition(".")[2] in {"cents", "firm", "low", "high"} or name.endswith("_cents")
    return [name] if told and isinstance(value, int) and value else []


def test_nothing_of_the_price_is_left_under_its_cover():
    job = replace(LAMPS, unit_prices=(UnitPrice(id=key(9), title="Rock", unit="cu yd", cents=95_00),))
    spoken = replace(BASIS.assemblies["permit"], words="We get the permit.")
    for told in (
        shown(PriceShown.LINE, job),
        replace(shown(PriceShown.LINE, job), alternatives=sketched().alternatives),
    ):
        lifted = made(told, with_basis(lamp=LAMP, permit=spoken))
        assert {name.split(".")[1] for name in money_in(lifted)} >= {
            "price", "zones", "whole", "whole_price", "phases", "payments", "allowances", "unit_prices",
        }  # fmt: skip
        assert money_in(covered(lifted)) == []
        assert covered(lifted).reasons == ()


def test_alternative_of_nothing_has_no_size():
    bare = replace(JOB, alternatives=(Alternative(id=key(11), zone_id=TERRACE), *JOB.alternatives[1:]))
    assert made(bare).zones[0].size_sq_ft is None
