"""Editions: a recipe with all it includes, named by its content and nothing else."""

from dataclasses import dataclass, field, fields, make_dataclass, replace

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings

from app.domain.basis import Assembly, Include, Parameter, Part
from app.domain.codec import canonical_bytes, content_hash, from_plain, to_lean, to_plain
from app.domain.errors import BadValue
from app.domain.takeoff.edition import edition_bytes, edition_name, is_same, read_edition
from app.domain.takeoff.included import with_included
from tests.strategies import of_type

DIG = Assembly(key="dig", title="Dig", parameters={"depth": Parameter(label="Depth", value="6*inch")})
BASE = Assembly(key="base", title="Base", includes=(Include(assembly="dig"),))
PAVE = Assembly(key="pave", title="Pave", includes=(Include(assembly="base"), Include(assembly="gone")))
KNOWN = {one.key: one for one in (DIG, BASE, PAVE)}


def test_edition_holds_what_is_included_however_deep_and_survives_its_bytes() -> None:
    read = read_edition(msgspec.json.decode(edition_bytes(KNOWN, "pave")))
    assert (read.recipe, read.recipes) == ("pave", KNOWN)


def test_change_deep_inside_makes_another_edition() -> None:
    deeper = KNOWN | {"dig": replace(DIG, parameters={"depth": Parameter(label="Depth", value="8*inch")})}
    assert edition_name(deeper, "pave") != edition_name(KNOWN, "pave")
    assert edition_name(KNOWN | {"other": replace(DIG, key="other")}, "pave") == edition_name(KNOWN, "pave")


def test_recipes_that_include_each_other_end() -> None:
    rounds = {"a": Assembly(key="a", title="A", includes=(Include(assembly="a"),))}
    assert with_included(rounds, "a") == rounds


def test_unknown_recipe_has_no_edition() -> None:
    assert edition_name(KNOWN, "gone") == ""
    assert not is_same(KNOWN, "gone", "", None)


def test_a_later_release_that_knows_one_field_more_names_a_recipe_the_same() -> None:
    """The fields of a recipe, and one that is not there yet, with a default."""
    new = ("new", bool, field(default=False))
    later = make_dataclass("Later", [new], bases=(Assembly,), kw_only=True, frozen=True)
    value = later(**{one.name: getattr(PAVE, one.name) for one in fields(Assembly)})
    assert canonical_bytes(to_lean(value)) == canonical_bytes(to_lean(PAVE))
    assert content_hash(value) != content_hash(PAVE)
    assert canonical_bytes(to_lean(replace(value, new=True))) != canonical_bytes(to_lean(PAVE))


def test_earlier_form_is_recognised_by_its_name_and_by_what_is_kept() -> None:
    earlier = content_hash(PAVE)
    assert is_same(KNOWN, "pave", earlier, None)
    kept = read_edition(to_plain(PAVE))
    assert is_same(KNOWN, "pave", "a name this release no longer gives", kept)
    changed = KNOWN | {"pave": replace(PAVE, parts=(Part(role="finish", amount="area"),))}
    assert not is_same(changed, "pave", earlier, kept)


def test_kept_content_of_another_kind_is_refused() -> None:
    with pytest.raises(BadValue):
        read_edition({"title": "no recipe"})


@dataclass(frozen=True)
class Inner:
    number: float = 1.0


@dataclass(frozen=True)
class Outer:
    name: str
    inner: Inner = Inner()
    many: tuple[Inner, ...] = ()


def test_lean_leaves_out_defaults_at_every_depth_and_keeps_what_has_none() -> None:
    assert to_lean(Outer(name="")) == {"name": ""}
    assert to_lean(Outer(name="x", many=(Inner(), Inner(2.0)))) == {"name": "x", "many": [{}, {"number": 2.0}]}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(of_type(Assembly))
def test_lean_reads_back_as_the_same_value(recipe: Assembly) -> None:
    assert from_plain(to_lean(recipe), Assembly) == recipe
