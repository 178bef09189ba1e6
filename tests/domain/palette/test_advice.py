"""What is pointed out about colors: the family and what breaks it, edges, glare and heat, a sale that is near."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import Basis, Material, Price
from app.domain.costing.estimate import estimate
from app.domain.job import Job, Need, ZoneKind
from app.domain.palette.advice import Advice, advice
from app.domain.palette.color import difference, hex_of
from app.domain.palette.families import limits_of
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, with_zone

TAN, RUSSET, GRAY, BLACK, WHITE = "#c4a983", "#9c4a35", "#8b8d8b", "#303030", "#f4f4f2"


def paver(key: str, color: str, **fields: object) -> Material:
    own = {"role": "finish", "buy": "each", "coverage": "0.25*foot**2", "finish": True, "hatch": "running"}
    return Material(key=key, title=key.capitalize(), color=color, **{**own, **fields})  # type: ignore[arg-type]


def stocked(*pavers: Material, **rules: float) -> Basis:
    shipped = basis(**rules)
    others = {key: one for key, one in shipped.materials.items() if one.role != "finish"}
    prices = {one.key: Price(material=one.key, unit_price=Decimal(number + 1)) for number, one in enumerate(pavers)}
    return replace(
        shipped, materials={**others, **{one.key: one for one in pavers}}, prices={**shipped.prices, **prices}
    )


def yard(*laid: tuple[str, float], kind: ZoneKind = ZoneKind.DINING, **site: object) -> Job:
    """Zones of these widths [ft] in a row along the house, each in a paver by key."""
    job, x = empty(**site), 0.0
    for letter, (key, wide) in zip("ABCDEF", laid, strict=False):
        job = with_zone(job, letter, rectangle(wide, 10, at=(x, 20)), "unit-pavers", kind=kind)
        *before, work = job.works
        job = replace(job, works=(*before, replace(work, finishes={"finish": key})))
        x += wide
    return job


def said(job: Job, book: Basis) -> Advice:
    return advice(job, book, estimate(job, book))


def of(found: Advice, rule: str) -> list:
    return [one for one in found.remarks if one.rule == rule]


def at_distance(color_lab: tuple[float, float, float], away: float) -> str:
    """A gray whose difference from another gray is so much: by halving."""
    low, high = color_lab[0], 100.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if difference(color_lab, (middle, 0.0, 0.0)) < away else (low, middle)
    return hex_of((low, 0.0, 0.0))


def test_most_of_the_ground_says_the_family_and_what_breaks_it_is_named() -> None:
    book = stocked(paver("tan", TAN), paver("blue", "#5f7c92"))
    found = said(yard(("tan", 15), ("blue", 5)), book)
    assert found.family == "warm"
    (broken,) = of(found, "palette-family-share")
    assert broken.about == ("blue",)
    assert "B" in broken.words


@pytest.mark.parametrize(("wide", "family"), [(14.0, "warm"), (13.9, "mixed")])
def test_the_share_of_a_family_has_two_sides(wide: float, family: str) -> None:
    book = stocked(paver("tan", TAN), paver("blue", "#5f7c92"))
    assert said(yard(("tan", wide), ("blue", 20 - wide)), book).family == family


def test_gray_goes_with_earth_but_earth_breaks_gray() -> None:
    book = stocked(paver("tan", TAN), paver("gray", GRAY))
    assert not of(said(yard(("tan", 16), ("gray", 4)), book), "palette-family-share")
    gray = said(yard(("gray", 16), ("tan", 4)), book)
    assert gray.family == "neutral"
    assert [one.about for one in of(gray, "palette-family-share")] == [("tan",)]


def test_a_mix_says_what_would_have_to_go_least() -> None:
    book = stocked(paver("russet", RUSSET), paver("blue", "#5f7c92"))
    (mixed,) = of(said(yard(("russet", 11), ("blue", 9)), book), "palette-family-share")
    assert mixed.about == ("blue",)


def test_a_typed_family_stands_before_the_color() -> None:
    book = stocked(paver("slate", GRAY, family="cool"), paver("tan", TAN))
    assert of(said(yard(("tan", 16), ("slate", 4)), book), "palette-family-share")


@pytest.mark.parametrize(("away", "pointed_out"), [(7.5, True), (8.5, False)])
def test_neighbors_too_alike_lose_their_edge(away: float, pointed_out: bool) -> None:
    dark = (40.0, 0.0, 0.0)
    book = stocked(paver("one", hex_of(dark)), paver("other", at_distance(dark, away)))
    assert bool(of(said(yard(("one", 10), ("other", 10)), book), "palette-alike")) is pointed_out


@pytest.mark.parametrize(("away", "pointed_out"), [(44.5, False), (45.5, True)])
def test_neighbors_too_far_apart_do_not_belong(away: float, pointed_out: bool) -> None:
    dark = (30.0, 0.0, 0.0)
    book = stocked(paver("one", hex_of(dark)), paver("other", at_distance(dark, away)))
    assert bool(of(said(yard(("one", 10), ("other", 10)), book), "palette-apart")) is pointed_out


def test_zones_that_do_not_touch_are_not_held_against_each_other() -> None:
    book = stocked(paver("one", BLACK), paver("other", WHITE), paver("between", GRAY))
    found = said(yard(("one", 8), ("between", 8), ("other", 8)), book)
    assert {(pair.one, pair.other) for pair in found.touching} == {("between", "one"), ("between", "other")}
    assert not of(found, "palette-apart")


def test_the_house_is_a_fixed_member_beside_what_touches_it() -> None:
    book = stocked(paver("one", GRAY), paver("other", RUSSET))
    found = said(yard(("one", 20), wall_color=GRAY), book)
    (alike,) = of(found, "palette-alike")
    assert alike.about == ("one", "wall_color")  # never the house is to be changed
    assert alike.instead_of == ""  # russet would break the grays
    assert alike.nothing_mends
    assert set(found.missing) == {"House roof", "House trim"}


def test_mends_keep_every_rule_are_the_nearest_and_say_the_price_difference() -> None:
    dark = (40.0, 0.0, 0.0)
    near, further, warm = hex_of((52.0, 0.0, 0.0)), hex_of((62.0, 0.0, 0.0)), TAN
    book = stocked(
        paver("one", hex_of(dark)),
        paver("other", at_distance(dark, 5)),
        paver("near", near),
        paver("further", further),
        paver("warm", warm),
    )
    job = yard(("one", 12), ("other", 8))
    worked = estimate(job, book)
    (alike,) = of(advice(job, book, worked), "palette-alike")
    assert [one.material for one in alike.mends] == ["near", "further"]
    assert alike.instead_of == "other"
    assert not alike.nothing_mends
    bought = sum(line.amount for line in worked.lines if line.key == "other")
    assert alike.mends[0].cents == round(bought * (3 - 2) * 100)  # the third paver at 3, the second at 2


def test_no_mend_where_nothing_is_priced() -> None:
    book = stocked(paver("one", GRAY), paver("other", "#8f918f"), paver("third", BLACK))
    book = replace(book, prices={})
    (alike,) = of(said(yard(("one", 10), ("other", 10)), book), "palette-alike")
    assert [(one.material, one.cents) for one in alike.mends] == [("third", None)]


@pytest.mark.parametrize(("lightness", "glares"), [(81.0, False), (83.0, True)])
def test_what_gives_back_much_light_glares(lightness: float, glares: bool) -> None:
    book = stocked(paver("one", hex_of((lightness, 0.0, 0.0))))  # Y of L* 81 is 0.585, of 83 0.622
    assert bool(of(said(yard(("one", 20)), book), "palette-glare")) is glares


@pytest.mark.parametrize(
    ("color", "kind", "hot"),
    [(BLACK, ZoneKind.WATER, True), (BLACK, ZoneKind.DINING, False), (TAN, ZoneKind.WATER, False)],
)
def test_dark_ground_is_pointed_out_where_people_go_barefoot(color: str, kind: ZoneKind, hot: bool) -> None:
    book = stocked(paver("one", color))
    assert bool(of(said(yard(("one", 20), kind=kind), book), "palette-hot")) is hot


@pytest.mark.parametrize(
    ("answer", "words", "pointed_out"),
    [
        ("yes", "", True),
        ("no", "Good value when we sell", False),
        ("", "Good value when we sell", True),
        ("", "Shade", False),
        ("", "", False),
    ],
)
def test_earth_is_the_safer_choice_where_a_sale_is_near(answer: str, words: str, pointed_out: bool) -> None:
    job = yard(("gray", 20))
    needs = (Need(id=named("need"), words=words),) if words else ()
    job = replace(job, head=replace(job.head, sale_near=answer), needs=needs)
    assert bool(of(said(job, stocked(paver("gray", GRAY))), "palette-sale")) is pointed_out


def test_of_warm_yards_a_sale_says_nothing() -> None:
    job = yard(("tan", 20))
    job = replace(job, head=replace(job.head, sale_near="yes"))
    assert not of(said(job, stocked(paver("tan", TAN))), "palette-sale")


def test_a_blend_counts_by_its_mixed_color() -> None:
    book = stocked(paver("mix", "", blend={TAN: 0.5, RUSSET: 0.5}))
    (member,) = (one for one in said(yard(("mix", 20)), book).members if one.area)
    assert member.color not in {"", TAN, RUSSET}


def test_green_and_what_has_no_color_is_left_out() -> None:
    job = with_zone(yard(("tan", 10)), "Z", rectangle(20, 20, at=(0, 40)), "sod-lawn", kind=ZoneKind.LAWN)
    found = said(job, stocked(paver("tan", TAN)))
    assert [one.key for one in found.members if one.area] == ["tan"]


def test_a_basis_without_the_rules_says_nothing() -> None:
    book = stocked(paver("tan", TAN))
    bare = replace(book, rules={key: rule for key, rule in book.rules.items() if not key.startswith("palette")})
    assert limits_of(bare.rules) is None
    assert said(yard(("tan", 20)), bare).remarks == ()


def test_an_empty_yard_says_nothing() -> None:
    found = said(empty(), stocked())
    assert (found.members, found.family, found.remarks) == ((), "", ())


def test_order_of_entry_and_moving_the_plan_change_nothing() -> None:
    book = stocked(paver("tan", TAN), paver("gray", GRAY), paver("dark", BLACK))
    job = yard(("tan", 9), ("gray", 6), ("dark", 5))
    turned = replace(job, zones=job.zones[::-1], works=job.works[::-1], alternatives=job.alternatives[::-1])
    assert {(one.rule, one.measured, one.mends) for one in said(turned, book).remarks} == {
        (one.rule, one.measured, one.mends) for one in said(job, book).remarks
    }


def test_what_came_in_a_file_and_is_no_color_is_passed_over() -> None:
    book = stocked(paver("one", 'red" onload="x'), paver("other", GRAY))
    found = said(yard(("one", 10), ("other", 10), wall_color="beige"), book)
    assert [one.key for one in found.members if one.area] == ["other"]
    assert not any(one.fixed for one in found.members)
