"""What is changed of the firm: its settings, people, prices, library, devices, backups."""

from tests.every_change.change import Version, of
from tests.every_change.stock import PASSCODE, PDF, PICTURE, Stock


def price_list(stock: Stock) -> bytes:
    """A supplier's list of two things."""
    return stock.price_list()


FIRM = {"version": Version("firm", "{firm_id}")}
FIRST = {
    "name": "Brackenfold Yards",
    "owner": "Maren Oduya",
    "town": "Alder Ferry",
    "state": "PA",
    "system": "feet",
    "margin": "18",
    "tax_mode": "consumer",
    "tax_rate": "7",
    "wage.crew": "24",
    "wage.hardscape": "27",
    "wage.operator": "29",
    "wage.foreman": "33",
    "wage.owner": "45",
    **FIRM,
}
PAGE = {"title": "Terms", "text": "Paid in thirty days.", "reviewed_by": "A. Lawyer", "reviewed_on": "2027-01-04"}
QUESTION = {"title": "Bees", "question": "Does anybody react to stings?", "own_reason": "A hive stopped a crew"}
OWN_PLANT = {
    "botanical": "Amsonia ciliata",
    "common": "Fringed bluestar",
    "kind": "perennial",
    "water": "low",
    "height.least": "2'",
    "height.most": "3'",
    "spread.least": "2'",
    "spread.most": "3'",
    "spacing": "2'",
    "sun": "full",
    "zones.coldest": "6",
    "zones.warmest": "9",
    "source": "our own beds",
}
LAPTOP = "files, never rows"
SWITCH = "a switch of the running server"

MAIL_ACCOUNT = {
    "host": "localhost",
    "port": "587",
    "user": "maren",
    "secret": "a password",
    "sender": "maren@brackenfold.example",
}

SETTINGS = (
    of("/firm/firm/{firm_id}", {"phone": "570 555 0142", **FIRM}),
    of("/firm/first/firm/{firm_id}", FIRST),
    of("/firm/labor_class/{key}", {"wage": "27.50", "version": Version("labor_class", "crew")}, at={"key": "crew"}),
    of("/firm/mark", FIRM, file=PICTURE, slow=True),
    of("/firm/terms", {**PAGE, **FIRM}),
    of("/firm/notice/new", {**PAGE, "title": "Liens", **FIRM}),
    of("/firm/notice/{place}/remove", FIRM, at={"place": "0"}),
    of(
        "/firm/worksheet/labor_class/{key}",
        {"paid_hours": "2080", "version": Version("labor_class", "crew")},
        at={"key": "crew"},
    ),
    of("/firm/worksheet/shares/labor_class/{key}", {"version": Version("labor_class", "crew")}, at={"key": "crew"}),
    of(
        "/firm/worksheet/overhead",
        {
            "items.0.title": "Yard rent",
            "items.0.cents": "24,000",
            "year.sales": "900,000",
            "year.direct.labor": "300,000",
            "overhead_method": "class",
            **FIRM,
        },
    ),
    of("/firm/worksheet/overhead/take", FIRM),
    of("/firm/undo", {"back": "/firm"}),
    of("/subcontractors/new", {"title": "Ardley Tree Care", "trade": "trees"}),
    of(
        "/subcontractors/{key}",
        {"phone": "570 555 0177", "version": Version("subcontractor", "stoltz")},
        at={"key": "stoltz"},
    ),
    of(
        "/subcontractors/{key}/papers",
        {"kind": "agreement", "version": Version("subcontractor", "bauer")},
        at={"key": "bauer"},
        file=PDF,
    ),
    of(
        "/subcontractors/{key}/papers/{name}/remove",
        {"version": Version("subcontractor", "stoltz")},
        at={"key": "stoltz", "name": "{paper}"},
    ),
)

BOOK = (
    of(
        "/prices/price/{key}",
        {"unit_price": "41.25", "version": Version("price", "base-stone-34")},
        at={"key": "base-stone-34"},
    ),
    of("/prices/supplier/new", {"title": "Ridge Nursery"}),
    of(
        "/prices/supplier/{key}",
        {"phone": "570 555 0101", "version": Version("supplier", "mill-yard")},
        at={"key": "mill-yard"},
    ),
    of(
        "/prices/material/new",
        {"title": "River stone", "role": "base", "buy": "ton", "cost_class": "material", "unit_price": "55"},
    ),
    of(
        "/prices/machine/{key}",
        {"purchase_cents": "42,000", "years": "7", "hours_a_year": "600", "repair_hours": "4200"},
        at={"key": "mini-excavator"},
    ),
    of("/prices/list", file=price_list, keeps_nothing="read and shown; taking rows of it has an address of its own"),
    of(
        "/prices/list/{list_id}",
        {"column.0": "code"},
        before=Stock.opens_list,
        keeps_nothing="read otherwise and shown",
    ),
    of("/prices/list/{list_id}/take", {"seen": "{seen}", "safe": "1"}, before=Stock.opens_list),
    of("/library/questions/new", {**QUESTION, "group": "On the site", "when": "recipes:hot-tub-pad"}),
    of("/library/questions/{key}/words", QUESTION, at={"key": "inspections"}),
    of("/library/questions/{key}/leave-out", {"left_out": "We never do"}, at={"key": "permits"}),
    of("/library/questions/{key}/ask-again", {"version": Version("reminder", "permits")}, at={"key": "permits"}),
    of("/library/questions/{key}/shipped", at={"key": "permits"}),
    of("/library/plants/new", OWN_PLANT),
    of(
        "/library/plant/{key}",
        {"colors": "red", "version": Version("plant", "acer-griseum")},
        at={"key": "acer-griseum"},
    ),
    of("/library/plant/{key}/shipped", at={"key": "acer-griseum"}),
    of("/library/assembly/{key}", {"text": "{recipe}"}, at={"key": "unit-pavers"}),
    of("/library/{kind}/{key}/shipped", at={"kind": "assembly", "key": "planting-bed"}),
    of("/library/{kind}/{key}", {"title": "Lay pavers by hand"}, at={"kind": "task", "key": "lay-pavers"}),
)

KNOWN = (
    of(
        "/firm/taught/{key}",
        {"mark": "{taught_mark}", "version": Version("task", "lay-pavers")},
        at={"key": "lay-pavers"},
        before=Stock.teaches,
    ),
    of(
        "/firm/waste/{way}/{key}",
        {"mark": "{waste_mark}", "version": Version("material", "{waste_key}")},
        at={"way": "measured", "key": "{waste_key}"},
        before=Stock.wastes,
    ),
    of(
        "/firm/waste/{way}/{key}/back",
        {"version": Version("material", "{waste_key}")},
        at={"way": "measured", "key": "{waste_key}"},
        before=Stock.wastes,
    ),
    of("/firm/known/read/stop", keeps_nothing="what was read stays, nothing more is"),
)

CURRENT = {"current": PASSCODE}
DEVICES = (
    of("/firm/devices/pair", {"face": "field"}),
    of("/pair", {"code": "{code}", "name": "A new tablet"}, by="stranger", before=Stock.begins_pairing),
    of(
        "/firm/devices/pairing/{pairing_id}/allow",
        {"name": "A new tablet", "passcode": PASSCODE},
        before=Stock.asks,
        slow=True,
    ),
    of("/firm/devices/pairing/{pairing_id}/refuse", before=Stock.asks),
    of("/firm/devices/{device_id}/name", {"name": "The tablet in the truck"}, at={"device_id": "{client_tablet_id}"}),
    of("/firm/devices/{device_id}/job", {"job_id": "{other_id}"}, at={"device_id": "{client_tablet_id}"}),
    of("/firm/devices/unseen", {"unseen_days": "30", "passcode": PASSCODE, **FIRM}, slow=True),
    of("/face/leave", by="phone"),
    of("/firm/devices/passcode", {**CURRENT, "new": PASSCODE, "again": PASSCODE}, slow=True),
    of("/firm/devices/{device_id}/revoke", {"passcode": PASSCODE}, at={"device_id": "{client_tablet_id}"}, slow=True),
    of("/firm/feed/new", {"passcode": PASSCODE}, slow=True),
    of("/firm/feed/off", {"passcode": PASSCODE}, slow=True),
    of("/firm/devices/passcode/remove", CURRENT, slow=True),
    of("/firm/share/on", keeps_nothing=SWITCH, before=Stock.sets_no_passcode),
    of("/firm/share/plain", {"use": "closed"}, keeps_nothing=SWITCH, before=Stock.sets_no_passcode),
    of("/firm/share/off", keeps_nothing=SWITCH),
    of("/firm/mail", MAIL_ACCOUNT, keeps_nothing="the account lies in the folder of keys"),
    of("/firm/mail/forget", keeps_nothing="the account lay in the folder of keys"),
    of("/backups/make", keeps_nothing=LAPTOP, slow=True),
    of("/backups/elsewhere", {"folder": "{folder}"}, keeps_nothing=LAPTOP, slow=True),
    of("/backups/portable", {"laptop": "{folder}"}, keeps_nothing=LAPTOP, slow=True),
)

# a client goes when all else is done; nobody is asked for a passcode any more
WHY = {"reason": "They asked for it in writing."}
GONE = (
    of(
        "/jobs/{job_id}/erase",
        {"name": "Linnea Whitlock", **WHY},
        at={"job_id": "{sold_id}"},
        before=Stock.parts,
        slow=True,
    ),
    of("/firm/erased/{job_id}/papers", WHY, at={"job_id": "{sold_id}"}, slow=True),
)
