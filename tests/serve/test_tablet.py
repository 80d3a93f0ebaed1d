"""A short inspection by touch in Chromium, as on a tablet: 768 by 1024."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, reading, section, step

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None:
    pytest.skip("there is no Chromium", allow_module_level=True)
playwright = pytest.importorskip("playwright.sync_api")
pytest.importorskip("textual_serve")

pytestmark = pytest.mark.filterwarnings("ignore::Warning")  # of the browser's driver
ROOT = Path(__file__).parent.parent.parent
LIST = checklist(
    section("all", "All of it"),
    step("belt", reading("width", label="Width", limit="{ min = 33 }"), title="Belt"),
    step("chain", reading("sag", label="Sag"), title="Chain"),
    id_="tap",
    title="Tap list",
)
SHEET = 'id = "sled"\nname = "The sled"\ncylinders = ["PTO", "MAG"]\n'
# The screen is a canvas: what stands on it is read from the line that draws it.
TEE = """
window.SEEN = "";
const Plain = WebSocket;
window.WebSocket = class extends Plain {
  constructor(...about) {
    super(...about);
    const decoder = new TextDecoder();
    this.addEventListener("message", (event) => {
      if (typeof event.data !== "string") SEEN += decoder.decode(event.data, {stream: true});
    });
  }
};
"""


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as driver:
        chromium = driver.chromium.launch(
            executable_path=CHROMIUM,
            args=[
                "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync",
            ],
        )  # fmt: skip
        yield chromium
        chromium.close()


@pytest.fixture
def served(tmp_path):
    """A session, served: its log, and the address."""
    store = Store(tmp_path / "store")
    store.make()
    (store.checklists / "tap.toml").write_text(LIST, encoding="utf-8")
    (store.machines / "sled.toml").write_text(SHEET, encoding="utf-8")
    with Inspection.new(store, "tap", "sled", "A. Tester", lambda: datetime.now(UTC)) as made:
        session = made.session.id
    with subprocess.Popen(
        [sys.executable, "-m", "inspect_tui", "serve", session, "--store", str(store.store)],
        stdout=subprocess.PIPE, text=True, cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)},
    ) as server:  # fmt: skip
        assert server.stdout is not None
        yield store.log(session), server.stdout.readline().strip()
        server.send_signal(signal.SIGTERM)
        server.wait(20)


def wait_for(page, words: str) -> None:
    page.wait_for_function(
        r"w => SEEN.replace(/\x1b\[[0-9;?]*[a-zA-Z]/g, '').includes(w)", arg=words, timeout=30_000
    )


def wait_until(check) -> None:
    until = time.monotonic() + 30
    while not check():
        assert time.monotonic() < until
        time.sleep(0.02)


def opened(browser, address: str, **how):
    context = browser.new_context(
        viewport={"width": 768, "height": 1024}, has_touch=True, is_mobile=True, **how
    )
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("requestfailed", lambda request: said.append(f"failed {request.url}"))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.add_init_script(TEE)
    page.goto(address)
    return context, page, said, asked


def tap(page, *keys: str) -> None:
    for key in keys:
        page.get_by_role("button", name=key, exact=True).tap()


def test_a_short_inspection_by_touch(browser, served):
    log, address = served
    context, page, _, asked = opened(browser, address, bypass_csp=True)
    wait_for(page, "Width")
    tap(page, "3", "4", "enter")
    wait_until(lambda: 'reading = "width"' in log.read_text(encoding="utf-8"))
    wait_for(page, "Sag")
    tap(page, "1", "2", "½", "enter")
    wait_until(lambda: 'reading = "sag"' in log.read_text(encoding="utf-8"))
    text = log.read_text(encoding="utf-8")
    assert re.search(r'entered = "34( mm)?"', text) and "12.5" in text
    here = ("/".join(address.split("/")[:3]), "data:", "ws://127.0.0.1")
    assert all(url.startswith(here) for url in asked)
    keys = page.locator("#keys button").first.bounding_box()
    assert keys["height"] >= 44 and keys["width"] >= 44
    context.close()
    lock = log.with_name(log.name.replace(".toml", ".owner"))
    wait_until(lambda: not lock.exists())  # the log is given back


def test_words_are_typed_with_the_tablet_s_own_keyboard(browser, served):
    context, page, _, _ = opened(browser, served[1], bypass_csp=True)
    wait_for(page, "Width")
    page.wait_for_selector(".xterm-helper-textarea[inputmode=none]", state="attached")
    tap(page, "letters")
    page.wait_for_selector(".xterm-helper-textarea[inputmode=text]", state="attached")
    page.keyboard.insert_text("thirty")
    wait_for(page, "thirty")
    tap(page, "letters")
    page.wait_for_selector(".xterm-helper-textarea[inputmode=none]", state="attached")
    context.close()


def test_a_second_tab_reads_only_and_a_third_one_is_told_why_not(browser, served, tmp_path):
    log, address = served
    first, page, _, _ = opened(browser, address, bypass_csp=True)
    wait_for(page, "Width")
    second, reader, _, _ = opened(browser, address, bypass_csp=True)
    wait_for(reader, "READ-ONLY")
    third, told, _, _ = opened(browser, address)
    told.get_by_text("open in another tab").wait_for()
    tap(reader, "3", "3", "enter")
    wait_for(reader, "nothing was recorded")
    photo = tmp_path / "p.jpg"
    Image.new("RGB", (40, 30), "gray").save(photo)
    reader.set_input_files("input[type=file]", photo)  # it goes to the one that writes
    wait_until(lambda: 'kind = "photo"' in log.read_text(encoding="utf-8"))
    tap(page, "3", "4", "enter")
    wait_until(lambda: 'entered = "34' in log.read_text(encoding="utf-8"))
    assert log.read_text(encoding="utf-8").count('kind = "reading"') == 1
    for context in (third, second, first):
        context.close()


def test_the_page_has_nothing_to_complain_of(browser, served):
    context, page, said, _ = opened(browser, served[1])
    page.wait_for_selector("body.-loaded", state="attached")
    assert [words for words in said if not words.startswith("ping=")] == []
    context.close()


def test_nothing_is_lost_when_the_tab_is_killed_half_way(browser, served):
    log, address = served
    context, page, _, _ = opened(browser, address, bypass_csp=True)
    wait_for(page, "Width")
    tap(page, "3", "4", "enter")
    wait_until(lambda: 'reading = "width"' in log.read_text(encoding="utf-8"))
    tap(page, "9")
    context.close()
    context, page, _, _ = opened(browser, address, bypass_csp=True)
    wait_for(page, "NEXT")  # a session that was left opens on its plan
    assert log.read_text(encoding="utf-8").count('kind = "reading"') == 1
    context.close()


def test_a_photo_of_the_camera_goes_to_the_step(browser, served, tmp_path):
    log, address = served
    photo = tmp_path / "IMG 1.jpg"
    Image.new("RGB", (40, 30), "gray").save(photo)
    context, page, _, _ = opened(browser, address, bypass_csp=True)
    wait_for(page, "Width")
    page.set_input_files("input[type=file]", photo)
    wait_until(lambda: 'kind = "photo"' in log.read_text(encoding="utf-8"))
    assert 'step = "belt"' in log.read_text(encoding="utf-8").split("[[entry]]")[-1]
    wait_for(page, "Photo saved at Belt")
    page.set_input_files("input[type=file]", {"name": "x.jpg", "mimeType": "", "buffer": b"no"})
    page.wait_for_function("() => document.getElementById('said').textContent.includes('no photo')")
    context.close()
