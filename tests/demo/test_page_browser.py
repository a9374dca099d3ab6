"""The page of the demo in a real browser, on the real program: one week served for the whole module."""

from __future__ import annotations

import asyncio
import os
import shutil
import threading
from collections.abc import Iterator

import httpx
import pytest
from playwright import sync_api

from demo.page.serve import serving

NO_BROWSER = "no chromium on this machine; get it with: apt-get install chromium"
OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
ADA, TOMAS, ROBIN = 5001, 5002, 9001


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    ready, loop = threading.Event(), asyncio.new_event_loop()
    found: list[str] = []
    over = asyncio.Event()

    async def serve() -> None:
        async with serving() as url:
            found.append(url)
            ready.set()
            await over.wait()

    thread = threading.Thread(target=lambda: loop.run_until_complete(serve()))
    thread.start()
    assert ready.wait(60)
    yield found[0]
    loop.call_soon_threadsafe(over.set)
    thread.join(20)
    loop.close()


@pytest.fixture(scope="module")
def page(address: str) -> Iterator[sync_api.Page]:
    """The page in one window; asserts afterwards that nothing was said on the console."""
    program = shutil.which("chromium")
    if program is None:
        if os.environ.get("CI"):
            pytest.fail(f"CI skips nothing: {NO_BROWSER}")
        pytest.skip(NO_BROWSER)
    said: list[str] = []
    with sync_api.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=OPTIONS)
        window = browser.new_page(viewport={"width": 1280, "height": 900}, locale="en-US")
        window.set_default_timeout(30_000)
        window.on("console", lambda message: said.append(message.text))
        window.on("pageerror", lambda error: said.append(str(error)))
        window.goto(address)
        window.wait_for_selector(f"#phone-{ROBIN}")
        yield window
        browser.close()
    assert said == []


def _say(page: sync_api.Page, phone: int, text: str) -> None:
    page.fill(f"#write-{phone}", text)
    page.press(f"#write-{phone}", "Enter")


def test_a_reply_shows_what_it_was_read_as_and_takes_the_phone_over(page: sync_api.Page) -> None:
    _say(page, ADA, "we did tummy time for 7 minutes")

    page.wait_for_selector(f"#phone-{ADA} .read:has-text('7 min of')")
    page.wait_for_selector(f"#phone-{ADA} .hand[aria-pressed='true']")


def test_a_refresher_brings_a_card(page: sync_api.Page) -> None:
    _say(page, TOMAS, "¿cómo era lo de boca abajo?")

    page.wait_for_selector(f"#phone-{TOMAS} .read:has-text('asks for')")
    page.wait_for_selector(f"#phone-{TOMAS} li.mine + li:not(.mine)")


def test_a_concern_reaches_the_therapist_in_the_carers_words(page: sync_api.Page) -> None:
    _say(page, ADA, "she is blue around the lips and floppy")

    page.wait_for_selector(f"#phone-{ADA} .read:has-text('act now')")
    page.wait_for_selector(f"#phone-{ROBIN} li:has-text('blue around the lips')")


def test_the_clock_steps_runs_and_pauses(page: sync_api.Page) -> None:
    before = page.inner_text("#now")
    page.focus("#step")
    page.keyboard.press("Enter")
    sync_api.expect(page.locator("#now")).not_to_have_text(before)
    page.select_option("#speed", "60")
    page.click("#run")
    sync_api.expect(page.locator("#run")).to_have_attribute("aria-pressed", "true")
    page.click("#run")
    sync_api.expect(page.locator("#run")).to_have_attribute("aria-pressed", "false")


def test_nothing_runs_over_the_edge_of_a_narrow_screen(page: sync_api.Page) -> None:
    page.set_viewport_size({"width": 360, "height": 800})

    assert page.evaluate("document.documentElement.scrollWidth") == 360


def test_the_page_speaks_spanish(page: sync_api.Page) -> None:
    page.click("#language")

    sync_api.expect(page.locator("#step")).to_have_text("Lo siguiente")
    page.wait_for_selector(f"#phone-{ADA} .read:has-text('Se leyó como')")


def test_a_strange_name_and_an_action_from_elsewhere_are_refused(address: str) -> None:
    assert httpx.get(address, headers={"host": "elsewhere.example"}).status_code == 403
    step = {"what": "step"}
    assert (
        httpx.post(f"{address}do", json=step, headers={"origin": "http://elsewhere.example"}).status_code
        == 403
    )
    assert httpx.post(f"{address}do", json=step).status_code == 403
