"""Open points about machines let by time: fuel that is paid twice or not at all, moves that are paid twice."""

from collections.abc import Iterator, Mapping, Sequence

from app.domain.basis import Basis, CostClass, Price
from app.domain.findings import Finding, Severity
from app.domain.takeoff.purchase import Purchase

FUEL = "machine fuel"  # roles of the materials that pay for what a rate may hold too
MOVE = "machine move"
NAMED = 4  # machines named in a sentence


def machines_asked(bought: Sequence[Purchase], basis: Basis) -> Iterator[Finding]:
    """What is to be asked about the machines of a job."""
    let = {one.material: basis.prices[one.material] for one in bought if _is_let(one, basis)}
    fueled = sorted({one.phase for one in bought if one.priced and basis.materials[one.material].role == FUEL})
    moved = {one.phase for one in bought if one.priced and basis.materials[one.material].role == MOVE}
    yield from _fuel_twice(let, bool(fueled), basis)
    yield from _fuel_unknown(let, bool(fueled), basis)
    yield from _moved_twice([one for one in bought if one.phase in moved and one.material in let], basis)


def _is_let(one: Purchase, basis: Basis) -> bool:
    material = basis.materials[one.material]
    return one.priced and material.cost_class is CostClass.EQUIPMENT and material.buy in ("hour", "day")


def _fuel_twice(let: Mapping[str, Price], bought: bool, basis: Basis) -> Iterator[Finding]:
    paid = [key for key, one in let.items() if one.fuel == "in the rate" or (one.fuel == "ours" and one.fuel_cents)]
    if bought and paid:
        yield Finding(
            rule="fuel-twice",
            severity=Severity.WARN,
            where="prices",
            what=f"Fuel is bought as a material and paid with the machine as well: {_names(paid, basis)}.",
            measured=", ".join(sorted(paid)),
            limit="fuel is paid once",
            remedy="Take the fuel out of the recipe, or say in the price book that it is ours and not in the price.",
        )


def _fuel_unknown(let: Mapping[str, Price], bought: bool, basis: Basis) -> Iterator[Finding]:
    unasked = [key for key, price in let.items() if not price.fuel]
    unpaid = [key for key, price in let.items() if price.fuel == "ours" and not price.fuel_cents and not bought]
    for keys, what, remedy in (
        (unasked, "Whether fuel is in the rate is not known of", "Ask, and say so in the price book."),
        (unpaid, "Fuel is ours and has no price at", "Give it a price by the machine hour in the price book."),
    ):
        if keys:
            yield Finding(
                rule="fuel-not-priced" if keys is unpaid else "fuel-unknown",
                severity=Severity.WARN if keys is unpaid else Severity.NOTE,
                where="prices",
                what=f"{what}: {_names(keys, basis)}.",
                measured=", ".join(sorted(keys)),
                remedy=remedy,
            )


def _moved_twice(let: Sequence[Purchase], basis: Basis) -> Iterator[Finding]:
    keys = sorted({one.material for one in let if one.delivery_cents})
    if keys:
        yield Finding(
            rule="moved-twice",
            severity=Severity.NOTE,
            where="prices",
            what=f"Bringing a machine is paid with its hire ({_names(keys, basis)}), and machine moves are priced in "
            "the same phase.",
            measured=", ".join(keys),
            remedy="Count fewer machine moves in “Move in and out” where the yard brings the machine.",
        )


def _names(keys: Sequence[str], basis: Basis) -> str:
    named = sorted(basis.materials[key].title for key in keys)
    return ", ".join(named[:NAMED]) + (f" and {len(named) - NAMED} more" if len(named) > NAMED else "")
