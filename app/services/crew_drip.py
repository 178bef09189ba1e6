"""A bed's drip line in words for the crew: how it lies, what it is joined by, how long it runs."""

from collections.abc import Iterator, Mapping

from app.documents.tongues import ENGLISH, Tongue
from app.domain.takeoff.drip_lines import BedDrip
from app.domain.units import System, format_length, format_number


def drip_words(drip: BedDrip, system: System, say: Tongue = ENGLISH) -> Iterator[tuple[str, str]]:
    """How a bed's drip line lies, in the order the crew needs it; what was ordered, where that is another length."""
    apart = format_length(drip.spacing, system)
    lines = "%(num)s lines around, %(apart)s apart" if drip.around else "%(num)s rows, %(apart)s apart"
    yield say("Lines"), say(lines, num=drip.rows, apart=apart)
    joined = say(
        "%(laid)s laid, %(joins)s to join them",
        laid=format_length(drip.laid, system),
        joins=format_length(drip.header, system),
    )
    yield say("Drip line in all"), f"{format_length(drip.length, system)}: {joined}"
    ordered = drip.priced.get("line", drip.length)
    if not drip.agrees and abs(ordered - drip.length) > 1e-6:
        yield say("In the order"), format_length(ordered, system)
    each = say("%(num)s, every %(apart)s", num=format_number(drip.emitters), apart=format_length(drip.apart, system))
    yield say("Emitters"), each
    yield say("Tees and ends"), format_number(drip.layout.fittings)
    flow = say("%(flow)s gal/h on %(valves)s, each with filter, regulator and flush end", **_valves(drip, say))
    yield say("Flow"), flow
    ran = say("%(minutes)s min, for %(depth)s in of water", minutes=round(drip.minutes), depth=f"{drip.day:.2f}")
    yield say("Runs on a hot day, once grown in"), ran


def _valves(drip: BedDrip, say: Tongue) -> Mapping[str, str]:
    valves = say.counted("one valve", "%(num)s valves", drip.valves)
    return {"flow": format_number(drip.flow), "valves": valves}
