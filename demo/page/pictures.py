"""Makes the pictures of the page that the README shows: python -m demo.page.pictures [FOLDER]

Needs playwright and a Chromium (on Debian: apt-get install chromium); `browser` says where it is looked for.
"""

from __future__ import annotations

import asyncio
import shutil
import sys
from pathlib import Path

from playwright.async_api import Browser, Page, async_playwright

from demo.page.serve import serving

FOLDER = Path(__file__).parents[1] / "pictures"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
STEPS = ("reminder", "reply", "refresher", "worry", "plan", "digest")


def browser() -> str | None:
    """Return the program of the Chromium on this machine; None where there is none."""
    return next((found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None)


async def made(folder: Path) -> None:
    """Live through the tour and take its pictures, in a folder that is there."""
    async with serving() as address, async_playwright() as play:
        chromium = await play.chromium.launch(executable_path=browser(), args=ARGUMENTS)
        page = await _opened(chromium, address, 1360, 1250)
        for step in STEPS:
            await toured(page)
            if step in ("reply", "worry", "digest"):
                await page.screenshot(path=folder / f"page-{step}.png")
            await page.click("#tour-next")
        narrow = await _opened(chromium, address, 360, 780)
        await narrow.screenshot(path=folder / "page-narrow.png")
        await chromium.close()


async def _opened(chromium: Browser, address: str, width: int, height: int) -> Page:
    page = await chromium.new_page(viewport={"width": width, "height": height}, locale="en-US")
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
