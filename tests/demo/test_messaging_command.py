"""python -m demo.messaging, as a process of its own."""

from __future__ import annotations

import asyncio
import signal
import sys

import httpx


async def run(*arguments: str) -> asyncio.subprocess.Process:
    return await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        "demo.messaging",
        *arguments,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )


async def test_it_serves_until_it_is_asked_to_stop() -> None:
    process = await run("--port", "0", "--token", "77:abc", "--person", "5001:Sam:es")
    assert process.stdout is not None
    base = (await process.stdout.readline()).decode().strip().removeprefix("base URL ")
    async with httpx.AsyncClient() as client:
        me = (await client.get(f"{base}77:abc/getMe")).json()
        people = (await client.get(base.removesuffix("/bot") + "/people")).json()
    process.send_signal(signal.SIGTERM)

    assert me["result"]["id"] == 77
    assert people["people"][0]["language_code"] == "es"
    assert await process.wait() == 0


async def test_bad_options_are_told_in_one_line() -> None:
    process = await run("--port", "0", "--token", "no-token")
    _, errors = await process.communicate()

    assert process.returncode == 2
    assert errors.decode() == (
        "The token must be a number, a colon, then letters, digits, _ or -, such as 1000:local.\n"
    )
