"""Gas lines of a system whose recipe is of an edition that knows its own length alone."""

from dataclasses import replace

from app.domain.checks.engine import check
from app.domain.job import RunKind
from tests.plans.yards import basis, empty, with_run


def told(job, on):
    return [(one.where, one.measured) for one in check(job, on) if one.rule == "gas-longest"]


def test_a_recipe_without_a_longest_length_is_told_by_its_own() -> None:
    """By hand: 20 ft of main line, a branch of 10 ft after 10 ft of it: 20 ft to either end."""
    job = with_run(empty(), "Main", "gas-run", kind=RunKind.GAS, points=((20.0, 20.0), (20.0, 40.0)))
    job = with_run(job, "Branch", "gas-run", kind=RunKind.GAS, points=((20.0, 30.0), (30.0, 30.0)))
    shipped = basis()
    recipe = shipped.assemblies["gas-run"]
    parameters = {name: one for name, one in recipe.parameters.items() if name not in ("longest", "carries", "inside")}
    older = replace(shipped, assemblies={**shipped.assemblies, "gas-run": replace(recipe, parameters=parameters)})
    branch = next(f"run:{run.id}" for run in job.runs if run.title == "Branch")
    assert told(job, shipped) == []
    assert told(job, older) == [(branch, "10'-0\" of 20'-0\" to the farthest end")]
