"""What signs, pays, issues, pairs, hands over, restores or takes a secret is never kept on a device to be sent later."""

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

from app.services.office import Office
from tests.web.test_access import routes

ROOT = Path(__file__).parents[2]
NODE = shutil.which("node", path=f"{ROOT / '.venv' / 'bin'}:{os.environ['PATH']}")
NEVER = re.compile(
    r"/sign/|/offer$|/along|/withdraw|/face|^/show/|^/pair|/devices/|/share/|^/backups|restore|passcode|^/commands|/erase"
)
FILES = re.compile(r"/paper$|/mark$|/open-file$|/bring-in$|/underlay/new$|^/prices/list$")


def why(asked: list[tuple[str | bool, ...]]) -> list[str | None]:
    """What the page's own table says of each address, sent with or without a file."""
    assert NODE, "Node.js is missing; scripts/build-static brings it"
    script = (
        f"import {{ atOnce }} from 'file://{ROOT}/static/js/unsent/at-once.js';"
        "globalThis.window = { location: { href: 'http://127.0.0.1/' } };"
        "console.log(JSON.stringify(JSON.parse(process.argv[1]).map((one) => atOnce(...one))));"
    )
    words = [NODE, "--input-type=module", "--eval", script, json.dumps(asked)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=True)
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_what_must_be_answered_at_once_is_never_kept(office: Office) -> None:
    paths = sorted({one.path for one in routes(office) if "POST" in one.methods})
    never = [path for path in paths if NEVER.search(path)]
    assert len(never) > 15
    assert [path for path, key in zip(never, why([(path, False) for path in never]), strict=True) if not key] == []
    files = [path for path in paths if FILES.search(path)]
    assert [path for path, key in zip(files, why([(path, True) for path in files]), strict=True) if not key] == []


def test_edits_of_a_job_and_pictures_from_the_yard_may_wait() -> None:
    job = "/jobs/6f9619ff-8b86-d011-b42d-00c04fc964ff"
    edits = [f"{job}/client/need/new", f"{job}/plan/zone/1", f"{job}/plan/draw/zone", f"{job}/undo", "/firm/firm/1"]
    assert why([(path, False) for path in (*edits, "/field/1/note")]) == [None] * 6
    assert why([("/firm/firm/1", False, True)]) == ["at-once-machine"]  # a form with a passcode in it
    assert (
        why([(f"{job}/site/photo/new", True), ("/field/1/photo", True), ("/field/1/orders/2/delivery", True)])
        == [None] * 3
    )
    tested = ("/field/1/after/result", "/field/1/after/punch", "/field/1/after/punch/2", f"{job}/after/tests/result")
    assert why([(path, True) for path in tested]) == [None] * 4


def test_each_reason_has_its_sentence_in_every_page() -> None:
    told = (ROOT / "static/js/unsent/at-once.js").read_text()
    words = (ROOT / "templates/unsent/_words.html").read_text()
    keys = set(re.findall(r"'(at-once-[a-z]+)'", told))
    assert len(keys) > 5
    assert [key for key in sorted(keys) if f'"{key}"' not in words] == []
