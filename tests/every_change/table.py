"""One valid request for every changing route, on the office of `stock`, in an order in which each finds what it needs.

    with Sending(Stock(folder)) as sending:
        for change in CHANGES:
            request = sending.of(change)     # address, form, headers, file: to be altered …
            answer = request.sent()          # … and sent; `request.sent(headers={})` is without Origin and token

`tests/web/test_every_change.py` fails when a route has no line, or when one is not taken. For a new route add a line to
the table of its part: what its form sends, in which a name in braces is a thing of the stock.
"""

from tests.every_change import of_the_firm, of_the_plan, of_the_price
from tests.every_change.change import Change

CHANGES: tuple[Change, ...] = (
    *of_the_plan.HOME,
    *of_the_plan.SITE,
    *of_the_plan.ON_THE_PLAN,
    *of_the_price.CHECKED,
    *of_the_price.PHASED,
    *of_the_price.PRICED,
    *of_the_price.CHOSEN,
    *of_the_firm.BOOK,
    *of_the_price.YARD,
    *of_the_price.PAPERS,
    *of_the_price.BILLED,
    *of_the_price.GIVEN_AWAY,
    *of_the_firm.KNOWN,
    *of_the_price.ORDERED,
    *of_the_price.HANDED_OVER,
    *of_the_firm.SETTINGS,
    *of_the_firm.DEVICES,
    *of_the_firm.GONE,
)
