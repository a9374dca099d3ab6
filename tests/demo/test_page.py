"""The demo's page in a real browser: what a visitor sees and does, and what the page never does."""

from __future__ import annotations

import asyncio
import os
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from demo.page.pictures import ARGUMENTS, browser
from demo.page.serve import serving
from demo.scenario import Scenario, read_scenario

NO_BROWSER = "no Chromium on this machine; get it with: apt-get install chromium"
ADA, TOMAS, ROBIN = "#phone-5001", "#phone-5002", "#phone-9001"
LIMIT = 30_000  # milliseconds


class _Server:
    """The page in a loop and a thread of its own, since the browser's programs block."""

    def __init__(self, scenario: Scenario | None = None) -> None:
        self.address = ""
        self._scenario = scenario
        self._loop = asyncio.new_event_loop()
        self._ready, self._stop = threading.Event(), asyncio.Event()
        self._thread = threading.Thread(target=self._loop.run_until_complete, args=(self._serve(),))

    async def _serve(self) -> None:
        async with serving(scenario=self._scenario) as self.address:
            self._ready.set()
            await self._stop.wait()

    def __enter__(self) -> str:
        self._thread.start()
        assert self._ready.wait(60)
        return self.address

    def __exit__(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join()
        self._loop.close()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    program = browser()
    if program is None:
        if os.environ.get("CI"):
            pytest.fail(f"CI skips nothing: {NO_BROWSER}")
        pytest.skip(NO_BROWSER)
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=program, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture(scope="module")
def address(chromium: Browser) -> Iterator[str]:
    with _Server() as address:
        yield address


@pytest.fixture
def errors() -> list[str]:
    return []


@pytest.fixture
def page(chromium: Browser, address: str, errors: list[str]) -> Iterator[Page]:
    yield from _opened(chromium, address, errors)
    assert errors == []


def _opened(chromium: Browser, address: str, errors: list[str], **how: Any) -> Iterator[Page]:
    page = chromium.new_page(**({"viewport": {"width": 1280, "height": 900}, "locale": "en-US"} | how))
    page.set_default_timeout(LIMIT)

    def note(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            errors.append(message.text)

    page.on("console", note)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(address)
    page.wait_for_selector(".phone")
    yield page
    page.close()


def says(page: Page, phone: str, text: str) -> None:
    page.fill(f"{phone} input", text)
    page.press(f"{phone} input", "Enter")


def test_the_tour_brings_a_reminder_with_its_reason_and_a_reply_with_what_was_read(page: Page) -> None:
    page.click("#tour-do")
    page.wait_for_selector("#tour-next:focus")
    page.wait_for_selector(f"{ADA} .note >> text=of 40 minutes before this")

    page.click("#tour-next")
    page.click("#tour-do")

    page.wait_for_selector(f"{ADA} .mine .note >> text=12 min, Tummy time")
    page.wait_for_selector(f"{ADA} .theirs >> text=✓ 12 min of tummy time")


def test_a_visitor_asks_for_a_refresher_in_spanish(page: Page) -> None:
    says(page, TOMAS, "¿cómo era boca abajo?")

    page.wait_for_selector(f"{TOMAS} .theirs >> text=DETENTE si")
    page.wait_for_selector(f"{TOMAS} .whose >> text=you have this phone")


def test_a_concern_on_one_phone_is_on_the_therapists_at_once(page: Page) -> None:
    says(page, ADA, "she is blue around the mouth")

    page.wait_for_selector(f"{ADA} .theirs >> text=This needs medical help now")
    page.wait_for_selector(f"{ROBIN} .theirs >> text=she is blue around the mouth")


def test_a_button_of_a_message_is_pressed_and_a_video_is_sent(page: Page) -> None:
    says(page, ADA, "football hold 5 left")
    page.locator(f"{ADA} .keys button", has_text="Undo").last.click()
    page.wait_for_selector(f"{ADA} .talk >> text=Undone")

    page.click(f"{TOMAS} >> text=Send a video")
    page.wait_for_selector(f"{ROBIN} >> text=Tomás, Pip")


def test_a_phone_is_taken_and_given_back(page: Page) -> None:
    page.click(f"{ROBIN} .taking")
    page.wait_for_selector(f"{ROBIN} .whose >> text=you have this phone")
    page.click(f"{ROBIN} .taking")
    page.wait_for_selector(f"{ROBIN} .whose >> text=lives by habit")


def test_the_clock_runs_at_the_speed_that_was_chosen_and_pauses(page: Page) -> None:
    before = page.inner_text("#clock")
    page.click("#speeds >> text=30")
    page.wait_for_selector("#speeds button[aria-pressed='true'] >> text=30")
    for _ in range(100):
        if page.inner_text("#clock") != before:
            break
        page.wait_for_timeout(100)
    page.click("#pause")
    page.wait_for_selector("#pause:disabled")
    page.wait_for_selector("#step:focus")
    stands = page.inner_text("#clock")
    page.wait_for_timeout(600)

    assert before != stands == page.inner_text("#clock")


def test_everything_is_reached_by_keyboard(page: Page) -> None:
    at_hand = "(({id, className, tagName}) => id || className || tagName)(document.activeElement)"
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.add(page.evaluate(at_hand))

    assert {"skip", "language", "tour-do", "step", "talk", "INPUT"} <= reached


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_screen_reader_finds_no_fault(
    chromium: Browser, address: str, errors: list[str], scheme: str
) -> None:
    for page in _opened(chromium, address, errors, color_scheme=scheme):
        found = Axe().run(page)
        assert [each["id"] for each in found.response["violations"]] == [], found.generate_report()


def test_on_a_narrow_phone_nothing_sticks_out_and_one_phone_shows_at_a_time(
    chromium: Browser, address: str, errors: list[str]
) -> None:
    for page in _opened(chromium, address, errors, viewport={"width": 360, "height": 740}):
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        below = "document.getElementById('phones').compareDocumentPosition(document.getElementById('time'))"
        assert page.evaluate(below) == 4, "the phones stand under the tour, the clock below them"
        page.click("#tabs >> text=Robin")
        assert page.is_visible(ROBIN) and not page.is_visible(ADA)
    assert errors == []


def test_the_page_speaks_spanish(chromium: Browser, address: str, errors: list[str]) -> None:
    for page in _opened(chromium, address, errors, locale="es-MX"):
        page.wait_for_selector("h1 >> text=una semana con Pip")
        assert page.get_attribute("html", "lang") == "es"


def test_nothing_of_another_origin_or_host_gets_through(address: str) -> None:
    page = httpx.get(address)
    assert "script-src 'self'" in page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in page.headers["Content-Security-Policy"]

    assert httpx.get(address, headers={"Host": "elsewhere.example"}).status_code == 403
    act = {"do": "pause"}
    assert httpx.post(f"{address}act", json=act).status_code == 403
    foreign = {"Origin": "http://elsewhere.example"}
    assert httpx.post(f"{address}act", json=act, headers=foreign).status_code == 403
    own = {"Origin": address.rstrip("/")}
    assert httpx.post(f"{address}act", json=act, headers=own).status_code == 200
    assert httpx.post(f"{address}act", json={"do": "erase"}, headers=own).status_code == 400
    stranger = {"do": "say", "phone": 5005, "text": "hi"}
    assert httpx.post(f"{address}act", json=stranger, headers=own).status_code == 400


def test_on_sunday_evening_the_digest_stands_beside_the_phones(chromium: Browser, errors: list[str]) -> None:
    week = read_scenario()
    sunday = replace(week, starts=week.starts + timedelta(days=5, hours=9), moments=())
    with _Server(sunday) as address:
        for page in _opened(chromium, address, errors):
            for _ in range(5):
                page.click("#tour-next")
            page.click("#tour-do")

            page.wait_for_selector("#digest img", timeout=90_000)
            link = page.get_attribute("#digest a", "href")
            document = page.request.get(f"{address.rstrip('/')}{link}")
            assert document.ok and document.body().startswith(b"%PDF")
            page.wait_for_selector("#digest iframe")

            page.click("#tour-next")
            page.click("#tour-do")
            page.wait_for_selector(f"{ADA} input:focus")
    assert errors == []
