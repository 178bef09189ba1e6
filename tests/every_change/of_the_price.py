"""What is changed of a job once it is drawn: checks, price, phases, options, papers; at the table and in the yard."""

from tests.every_change.change import Version, of
from tests.every_change.stock import PASSCODE, PDF, PICTURE, Stock

JOB = "/jobs/{job_id}"
BUILT = {"job_id": "{built_id}"}
JOB_READ = {"version": Version("job", "{job_id}")}
SOLD = {"job_id": "{sold_id}"}
SOLD_PAPER = {**SOLD, "revision_id": "{sold_revision_id}"}
MAILED = {"to": "linnea@example.org"}
CONSENTED = {"name": "Linnea Whitlock", "word": "{offered_word}", "consent": "1"}
SIGNED = {"name": "Linnea Whitlock", "agree": "1", "place": "home", "strokes": "[[[10,10],[50,40],[80,12]]]"}

CHECKED = (
    of(
        JOB + "/checks/settle",
        {"finding": "{finding}", "by": "Maren Oduya", "reason": "None is asked here."},
        before=Stock.finds_point,
    ),
    of(JOB + "/checks/settlement/{settlement_id}/remove"),
    of(JOB + "/checks/aside", {"material": "{unpriced_1}", "cents": "1,200", "words": "Of your choice"}),
    of(JOB + "/checks/price", {"material": "{unpriced_2}", "price": "42.50"}),
    of(JOB + "/checks/rule/{rule_id}", {"value": "15 ft", "severity": "stop", "reason": "Alder Ferry fire code 4.2"}),
    of(JOB + "/checks/rule/{rule_id}/shipped"),
    of(JOB + "/forgotten/{key}/answer", {"reply": "not needed", "reason": "There is none"}, at={"key": "inspections"}),
    of(JOB + "/forgotten/{key}/again", at={"key": "dogs"}),
    of(JOB + "/forgotten/{key}/price", at={"key": "permits"}),
)

PHASED = (
    of(JOB + "/phases/phase/new", {"title": "In the fall"}),
    of(
        JOB + "/phases/phase/{phase_id}",
        {"title": "This summer", "version": Version("phase", "{phase_1_id}")},
        at={"phase_id": "{phase_1_id}"},
    ),
    of(JOB + "/phases/zone/{zone_id}/move", {"phase_id": "{phase_2_id}", "version": Version("zone", "{zone_id}")}),
    of(JOB + "/phases/phase/{phase_id}/move", {"phase_id": "{phase_2_id}"}, at={"phase_id": "{phase_1_id}"}),
    of(JOB + "/phases/payments/usual"),
    of(
        JOB + "/phases/approval/{approval_id}/cut-sheet",
        {"sheet_title": "Gas fire"},
        file=PICTURE,
        before=Stock.asks_for_a_yes,
        slow=True,
    ),
    of(JOB + "/phases/cut-sheet/{sheet_id}/remove", at={"sheet_id": "{cut_sheet_id}"}, before=Stock.asks_for_a_yes),
)

PRICED = (
    of(JOB + "/estimate/starting-works", at={"job_id": "{bare_id}"}),
    of(
        JOB + "/estimate/firm-price",
        {"firm_price_by": "Maren Oduya", "firm_price_reason": "The bed can only be shorter", **JOB_READ},
    ),
    of(JOB + "/estimate/firm-price/back", JOB_READ),
    of(JOB + "/estimate/price/{material}", {"unit_price": "38.50"}, at={"material": "{unpriced_3}"}),
    of(JOB + "/estimate/trials/stop", keeps_nothing="trials stopped"),
    of(JOB + "/drivers/swings/stop", keeps_nothing="a search stopped"),
    of(JOB + "/past/read/stop", keeps_nothing="reading stopped"),
    of(JOB + "/price/own-margin", {"margin": "14%", "own_margin_reason": "A neighbor of ours", **JOB_READ}),
    of(
        JOB + "/price/adjustment",
        {"price": "150,000", "adjustment_title": "Rounded", "adjustment_reason": "As agreed", **JOB_READ},
    ),
    of(JOB + "/price/as-the-firm", JOB_READ),
    of(JOB + "/price/offered-risk/{key}", at={"key": "old-footings"}),
    of(JOB + "/price/tax/rate", {"tax_rate": "6%", "tax_place": "Alder Ferry", "tax_on": "2027-03-01", **JOB_READ}),
    of(JOB + "/price/tax/work", {"work_id": "{zone_work_id}", "tax": "exempt", "tax_reason": "Exempt"}),
    of(JOB + "/subs/quote/{quote_id}/scope", {"line-0": "x", "stands-0": "in"}),
    of(JOB + "/subs/quote/{quote_id}/accept", {"accept": "yes"}),
    of(JOB + "/subs/quote/{quote_id}/paper", file=PDF),
)

CHOSEN = (
    of(JOB + "/choices/option/new", {"thing_ids": ["{spare_zone_id}"], "title": "The corner"}),
    of(JOB + "/choices/option/{option_id}/tick", {"taken": "", "initials": "jw"}),
    of(
        JOB + "/choices/best",
        {"budget": "90,000"},
        keeps_nothing="searched and shown; taking it has an address of its own",
        slow=True,
    ),
    of(JOB + "/choices/best/take", before=Stock.looks_for_best, slow=True),
    of(JOB + "/planner/plan", {"count": "2"}, keeps_nothing="a plan is looked for", slow=True),
    of(JOB + "/planner/take", before=Stock.plans_phases, slow=True),
    of(JOB + "/choices/package/new", {"title": "The small one"}),
    of(JOB + "/choices/package/{package_id}/take"),
    of("/show/{job_id}/options/{option_id}", {"taken": "1", "initials": "jw"}),
    of("/show/{job_id}/packages/{package_id}", {"lift": "1"}),
)

YARD = (
    of(
        "/field/{job_id}/log/hours",
        {"day": "{today}", "people": ["Ada", "Bo"], "at": "{task}", "hours": "4"},
        at=BUILT,
        by="phone",
    ),
    of("/field/{job_id}/log/done", {"at": "{task}", "percent": "50"}, at=BUILT, by="phone"),
    of("/field/{job_id}/log/hours/{entry_id}/remove", at={**BUILT, "entry_id": "{hours_id}"}, by="phone"),
    of("/field/{job_id}/day/{what}", {"day": "{today}", "sky": "rain"}, at={**BUILT, "what": "weather"}, by="phone"),
    of("/field/{job_id}/day/receipt", {"day": "{today}", "amount": "86.40"}, at=BUILT, by="phone"),
    of(
        "/field/{job_id}/day/{kind}/{thing_id}/remove",
        at={**BUILT, "kind": "logged_delay", "thing_id": "{delay_id}"},
        by="phone",
    ),
    of(JOB + "/log/done", {"at": "{task}", "percent": "75"}, at=BUILT),
    of(
        "/field/language",
        {"language": "es", "back": "/field"},
        keeps_nothing="the device keeps it, as a cookie",
    ),
    of(
        "/field/{job_id}/days/{day}/check",
        {"part": "{day_part}", "words": "{day_check}", "name": "Ada"},
        at={**BUILT, "day": "{crew_day}"},
        by="phone",
    ),
    of(
        "/field/{job_id}/days/{day}/check/{check_id}/remove",
        at={**BUILT, "day": "{crew_day}", "check_id": "{signed_check_id}"},
        by="phone",
    ),
    of(JOB + "/days/{day}/on", {"part": "{day_part}", "people": ["ada"]}, at={**BUILT, "day": "{crew_day}"}),
    of("/field/{job_id}/note", {"words": "Gate is locked on Fridays"}, at=BUILT, by="phone"),
    of("/quick-math/{key}/job/{job_id}", {"where": "note", "area": "450"}, at={**BUILT, "key": "volume"}, by="phone"),
    of("/field/{job_id}/photo", {"caption": "Base is in"}, at=BUILT, file=PICTURE, by="phone", slow=True),
    of(JOB + "/face", by="tablet"),
    of("/face/ours", {"passcode": PASSCODE}, by="tablet", before=Stock.hands_over, slow=True),
    of("/face/own", by="phone", before=Stock.turns_phone),
)

TODAY = {"day": "{today}"}
MONEY = JOB + "/money"
BILLED = (
    of(MONEY + "/reached/{key}", TODAY, at={**SOLD, "key": "{milestone}"}, before=Stock.bills),
    of(MONEY + "/reached/{key}/remove", at={**SOLD, "key": "{spare_milestone}"}, before=Stock.bills),
    of(MONEY + "/invoice", at=SOLD, before=Stock.bills, slow=True),
    of(MONEY + "/received", {**TODAY, "cents": "120", "how": "check"}, at=SOLD, before=Stock.bills),
    of(
        MONEY + "/received/{payment_id}/back",
        {"reason": "Bounced"},
        at={**SOLD, "payment_id": "{payment_in_id}"},
        before=Stock.bills,
    ),
    of(MONEY + "/invoice/{invoice_id}/void", {"reason": "Wrong day"}, at=SOLD, before=Stock.bills),
    of(
        MONEY + "/paid-out",
        {**TODAY, "cents": "640", "to": "Stoltz Electric", "paid_for": "subcontractor"},
        at=SOLD,
        before=Stock.bills,
    ),
    of(MONEY + "/paid-out/{thing_id}/remove", at={**SOLD, "thing_id": "{paid_out_id}"}, before=Stock.bills),
)
ORDERS = JOB + "/orders"
ORDERED = (
    of(ORDERS + "/prepare/{key}", at={**SOLD, "key": "{list_key}"}, before=Stock.orders),
    of(ORDERS + "/sample/{material}", {**TODAY, "name": "Linnea Whitlock"}, at=SOLD, before=Stock.orders),
    of(
        ORDERS + "/sample/{material}/go-on",
        {"by": "Maren Oduya", "reason": "Chosen at the quarry"},
        at=SOLD,
        before=Stock.orders,
    ),
    of(
        ORDERS + "/substitute/{substitute_id}/{answer}",
        {**TODAY, "name": "Joss Whitlock"},
        at={**SOLD, "answer": "approve"},
        before=Stock.orders,
    ),
    of(
        ORDERS + "/{order_id}/plan",
        {"spot": "On the drive", "version": Version("supply_order", "{order_id}")},
        at=SOLD,
        before=Stock.orders,
    ),
    of(
        ORDERS + "/{order_id}/send",
        {"sent_on": "{today}", "materials": ["{spare_material}"]},
        at={**SOLD, "order_id": "{prepared_id}"},
        before=Stock.orders,
    ),
    of(ORDERS + "/{order_id}/remove", at={**SOLD, "order_id": "{spare_order_id}"}, before=Stock.orders),
    of(
        ORDERS + "/{order_id}/said/{what}",
        {"confirmation": "FM-20418", "confirmed_on": "{today}", "version": Version("supply_order", "{order_id}")},
        at={**SOLD, "what": "confirm"},
        before=Stock.orders,
    ),
    of(
        ORDERS + "/{order_id}/delivery",
        {**TODAY, "came-0": "0.5"},
        at=SOLD,
        file=PICTURE,
        before=Stock.orders,
        slow=True,
    ),
    of(
        "/field/{job_id}/orders/{order_id}/delivery",
        {**TODAY, "came-0": "0.5", "broken-0": "0.1"},
        at=SOLD,
        by="phone",
        before=Stock.orders,
        slow=True,
    ),
    of(ORDERS + "/{order_id}/bill", {**TODAY, "amount-0": "1", "billed-0": "40"}, at=SOLD, before=Stock.orders),
    of(ORDERS + "/left/counted", {**TODAY, "beside-base-stone-34": "1"}, at=SOLD, before=Stock.orders),
    of("/field/{job_id}/left/counted", {**TODAY, "left_over-base-stone-34": "0"}, at=SOLD, by="phone"),
    of(ORDERS + "/left/{material}/take-out", at={**SOLD, "material": "{counted_key}"}, before=Stock.counts),
    of(
        ORDERS + "/{order_id}/call-off",
        {"called_off_why": "The quarry closed"},
        at={**SOLD, "order_id": "{called_off_id}"},
        before=Stock.orders,
    ),
    of(
        ORDERS + "/{kind}/{thing_id}/take-out",
        at={**SOLD, "kind": "delivery", "thing_id": "{delivery_id}"},
        before=Stock.orders,
    ),
)
GIVEN = JOB + "/sub-packets"
GIVEN_AWAY = (
    of(GIVEN + "/{packet_id}/release", before=Stock.gives_away),
    of(GIVEN + "/{packet_id}/hold", before=Stock.gives_away),
    of(GIVEN + "/{packet_id}/paid", {**TODAY, "cents": "250"}, before=Stock.gives_away),
    of(
        GIVEN + "/payment/{payment_id}/lien-release",
        {**TODAY, "kind": "conditional progress"},
        at={"payment_id": "{sub_payment_id}"},
        file=PDF,
        before=Stock.gives_away,
    ),
    of(
        GIVEN + "/lien-release/{release_id}/remove",
        at={"release_id": "{lien_release_id}"},
        before=Stock.gives_away,
    ),
)
CHANGED = {**SOLD, "revision_id": "{change_order_id}"}
OFFERED = {"job_id": "{offered_id}"}
REVISION = {**OFFERED, "revision_id": "{offered_revision_id}"}
PAPERS = (
    of(JOB + "/proposal/design/offer", at=OFFERED, before=Stock.sells, slow=True),
    of("/show/{job_id}/consent/{revision_id}", CONSENTED, at=REVISION, before=Stock.sells),
    of("/show/{job_id}/sign/{revision_id}", SIGNED, at=REVISION, before=Stock.sells, slow=True),
    of(JOB + "/proposal/offer", at=OFFERED, before=Stock.sells, slow=True),
    of(JOB + "/proposal/revisions/{revision_id}/withdraw", at=REVISION, before=Stock.knows_newest_offer, slow=True),
    of(
        JOB + "/build/go-on/{revision_id}",
        {"by": "Maren Oduya", "reason": "A burst drain; their own statement is with the job."},
        at=SOLD_PAPER,
        before=Stock.sells,
    ),
    of(
        JOB + "/build/go-on",
        {"finding": "{held_key}", "by": "Maren Oduya", "reason": "Asked by phone; there is none."},
        at=SOLD,
        before=Stock.holds_crew,
    ),
    of("/show/{job_id}/mail/{revision_id}", MAILED, at=SOLD_PAPER, before=Stock.has_mail, slow=True),
    of(JOB + "/mail/{mail_id}/again", at=SOLD, before=Stock.has_mail, slow=True),
    of(JOB + "/mail/{mail_id}/stop", at=SOLD, before=Stock.has_mail),
    of(JOB + "/build/wait-again/{settlement_id}", at={"settlement_id": "{waiver_id}"}),
    of(JOB + "/proposal/change/offer", at=SOLD, before=Stock.ticks_more, slow=True),
    of("/show/{job_id}/options/change", at=SOLD, before=Stock.ticks_more, slow=True),
    of(JOB + "/proposal/change-order/offer", at=SOLD, before=Stock.changes_more, slow=True),
    of(
        JOB + "/proposal/revisions/{revision_id}/decline",
        {"why": "Too dear this year"},
        at=CHANGED,
        before=Stock.offers_change_order,
        slow=True,
    ),
    of(
        "/show/{job_id}/decline/{revision_id}",
        {"why": "Not now"},
        at=CHANGED,
        before=Stock.offers_change_order,
        slow=True,
    ),
    of(
        JOB + "/change-orders/start",
        {"finding": "{unsigned}", "by": "Maren Oduya", "reason": "The machine is here today"},
        at=SOLD,
        before=Stock.changes_more,
        slow=True,
    ),
)
BUILT_YARD = {"job_id": "{yard_id}"}
AFTER = JOB + "/after"


def _after(route: str, form: dict[str, str] | None = None, **more: object):
    """A request about the yard that is built."""
    at = {**BUILT_YARD, **more.pop("at", {})}
    return of(route, form, **{"at": at, "before": Stock.builds, **more})


HANDED_OVER = (
    _after(AFTER + "/tests/result", {**TODAY, "test": "yard-clean:job", "name": "Ada", "passed": "not passed"}),
    _after(
        "/field/{job_id}/after/result",
        {**TODAY, "test": "surface-fall:{terrace_id}", "name": "Ada", "values": "2%"},
        by="phone",
    ),
    _after(
        AFTER + "/tests/left-out",
        {"test": "base-compacted:{terrace_id}", "name": "Maren Oduya", "words": "Proof-rolled with the machine"},
    ),
    _after(AFTER + "/tests/{test_id}/back", at={"test_id": "{spare_test_id}"}),
    _after(AFTER + "/punch/photo", {"what": "Touch up the cap", "zone": "job"}),
    _after("/field/{job_id}/after/note", {**TODAY, "thing": "{terrace_id}", "words": "Beside the wall"}, by="phone"),
    _after("/field/{job_id}/after/punch", {"what": "Rake the bed", "zone": "job"}, by="phone"),
    _after("/field/{job_id}/after/punch/{item_id}", {"who": "Ada"}, at={"item_id": "{punch_0_id}"}, by="phone"),
    _after(AFTER + "/punch/{item_id}/photo", {"who": "Bo"}, at={"item_id": "{punch_1_id}"}),
    _after(AFTER + "/punch/{item_id}/accepted", {"words": "Good"}, at={"item_id": "{punch_2_id}"}),
    _after(AFTER + "/punch/{item_id}/not-done", at={"item_id": "{punch_2_id}"}),
    _after(AFTER + "/punch/{item_id}/remove", at={"item_id": "{punch_3_id}"}),
    _after(AFTER + "/hand-over", {**TODAY, "by": "Maren Oduya"}, before=Stock.has_tested),
    _after(AFTER + "/hand-over/back", before=Stock.is_handed_over),
    _after(JOB + "/proposal/completion/offer", before=Stock.has_calls, slow=True),
    _after(AFTER + "/hand-over/photo", {"client": "Ida Marlow"}, before=Stock.has_calls),
    _after("/show/{job_id}/yard/ask", {"what": "A stone rocks", "kind": "call"}, before=Stock.has_calls),
    _after(AFTER + "/as-built/photo", {**TODAY, "thing": "{terrace_id}", "words": "Base 8 in deep at the steps"}),
    _after(AFTER + "/as-built/{note_id}/remove", at={"note_id": "{spare_note_id}"}),
    _after(AFTER + "/warranty/photo", {**TODAY, "what": "A paver rocks", "zone": "job"}, before=Stock.has_calls),
    _after(
        AFTER + "/warranty/call/{call_id}/answer",
        {"answer": "We look at it in May", "version": Version("warranty_call", "{asked_id}")},
        at={"call_id": "{asked_id}"},
        before=Stock.is_asked,
    ),
    _after(
        AFTER + "/warranty/call/{call_id}",
        {"quarters": "2", "cents": "30", "version": Version("warranty_call", "{call_id}")},
        at={"call_id": "{call_id}"},
        before=Stock.has_calls,
    ),
    _after(AFTER + "/warranty/call/{call_id}/remove", at={"call_id": "{spare_call_id}"}, before=Stock.has_calls),
    _after(
        AFTER + "/warranty/visit/{after_days}",
        {**TODAY, "done_on": "{today}"},
        at={"after_days": "30"},
        before=Stock.has_calls,
    ),
    _after(
        AFTER + "/shown",
        {**TODAY, "given_by": "Ida Marlow", "words": "A small terrace", "photo_ids": "{yard_photo_id}"},
        before=Stock.has_calls,
    ),
    _after(
        AFTER + "/shown/{permission_id}/back",
        {"why": "By phone"},
        at={"permission_id": "{permission_id}"},
        before=Stock.has_calls,
    ),
    _after(AFTER + "/close", {"by": "Maren Oduya", "reason": "The rest comes in spring"}, before=Stock.has_calls),
    _after(AFTER + "/open-again"),
)
