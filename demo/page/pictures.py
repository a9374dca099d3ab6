"""Makes the pictures that the README shows: python -m demo.page.pictures [FOLDER]

Needs playwright and a Chromium (on Debian: apt-get install chromium fonts-noto-color-emoji); `browser` says where it is
looked for.
"""

from __future__ import annotations

import asyncio
import shutil
import sys
from pathlib import Path

from playwright.async_api import Browser, Page, async_playwright

from bot.activities.library import load_library
from bot.digest.plan_picture import draw_plan
from demo.page.serve import serving
from demo.page.state import FAMILY
from demo.scenario import read_scenario
from scheduling.plan import plan_from
from scheduling.planner import plan_days

FOLDER = Path(__file__).parents[1] / "pictures"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
DOCUMENT_SHOWS = 4000  # milliseconds until the browser has drawn it, of which it tells nobody
STEPS = ("reminder", "reply", "refresher", "concern", "plan", "digest")


def browser() -> str | None:
    """Return the program of the Chromium on this machine; None where there is none."""
    return next((found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None)


async def made(folder: Path) -> None:
    """Live through the tour and take its pictures, the digest's and a planned week's, in a folder that is there."""
    (folder / "planned-week.png").write_bytes(planned_week())
    async with serving() as address, async_playwright() as play:
        chromium = await play.chromium.launch(executable_path=browser(), args=ARGUMENTS)
        page = await _opened(chromium, address, 1360, 1250)
        for step in STEPS:
            await toured(page)
            if step in ("reply", "concern"):
                await page.screenshot(path=folder / f"page-{step}.png")
            await page.click("#tour-next")
        await page.evaluate("document.querySelector('.digest').scrollIntoView()")
        await page.wait_for_timeout(DOCUMENT_SHOWS)
        await page.screenshot(
            path=folder / "page-digest.png", clip={"x": 0, "y": 0, "width": 1360, "height": 900}
        )
        await chromium.close()


def planned_week() -> bytes:
    """Return the first family's first week as the planner has it before anything is done, as a PNG."""
    scenario, library = read_scenario(), load_library()
    document = next(each["plan"] for each in scenario.caseload["families"] if each["id"] == FAMILY)
    plan = plan_from(document)
    names = {each.activity: library.name(each.activity, "en") for each in plan.activities}
    return draw_plan(plan, plan_days(plan, scenario.starts.date(), 7, ()), "en", names)


async def _opened(chromium: Browser, address: str, width: int, height: int) -> Page:
    page = await chromium.new_page(
        viewport={"width": width, "height": height}, locale="en-US", reduced_motion="reduce"
    )
    await page.goto(address)
    await page.wait_for_selector(".phone")
    return page


async def toured(page: Page) -> None:
    """Have the tour show its step, and wait until it has."""
    await page.click("#tour-do")
    await page.wait_for_selector("#tour-next:focus", timeout=120_000)


if __name__ == "__main__":
    where = Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER
    where.mkdir(parents=True, exist_ok=True)
    asyncio.run(made(where))
