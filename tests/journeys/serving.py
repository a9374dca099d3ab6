"""The bot as a process of its own, as it runs on a server."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
import time
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Self

REPOSITORY = Path(__file__).parents[2]


async def eventually(holds: Callable[[], bool], *, within: float) -> None:
    """Return once something holds in another process. Raises TimeoutError after `within` seconds."""
    end = time.monotonic() + within
    while not holds():
        if time.monotonic() > end:
            raise TimeoutError
        await asyncio.sleep(0.05)


class ServedBot:
    """`underwing serve` in a process. `kill()` is SIGKILL, `stop()` SIGTERM.

    clock: (start, speed) of a rehearsal clock; a restarted process goes on where the clock would stand by then.
    """

    def __init__(
        self,
        data: Path,
        server_base_url: str,
        *,
        clock: tuple[datetime, float] | None = None,
        settings: Mapping[str, str] | None = None,
    ) -> None:
        self.data = data
        self._clock = clock
        self._began: float | None = None
        self._log = data / "log"
        self.environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("UNDERWING_")},
            "UNDERWING_DATA": str(data),
            "UNDERWING_TOKEN": "1000:local-bot",
            "UNDERWING_API_BASE": server_base_url,
            **(settings or {}),
        }
        self._log_begins = 0  # characters of the log that earlier processes wrote
        self._process: asyncio.subprocess.Process | None = None

    def _options(self) -> list[str]:
        if self._clock is None:
            return []
        start, speed = self._clock
        self._began = self._began or time.monotonic()
        now = start + timedelta(seconds=(time.monotonic() - self._began) * speed)
        return ["--clock-start", now.isoformat(), "--clock-speed", str(speed)]

    async def start(self) -> Self:
        self._log_begins = len(self.log())
        with self._log.open("ab") as log:
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "bot", "serve", *self._options(),
                env=self.environment, cwd=REPOSITORY, stderr=log,
            )  # fmt: skip
        return self

    async def serving(self, within: float = 30.0) -> None:
        """Return once the process that was started last says that it serves."""
        await eventually(lambda: '"serving"' in self.log()[self._log_begins :], within=within)

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        if self.running:
            await self.kill()

    async def kill(self) -> None:
        assert self._process is not None
        self._process.kill()
        await self._process.wait()

    async def stop(self) -> int:
        """Ask it to stop; return its exit status."""
        assert self._process is not None
        if self._process.returncode is None:
            self._process.send_signal(signal.SIGTERM)
        return await asyncio.wait_for(self._process.wait(), timeout=15)

    @property
    def running(self) -> bool:
        return self._process is not None and self._process.returncode is None

    @property
    def pid(self) -> int:
        assert self._process is not None
        return self._process.pid

    def log(self) -> str:
        return self._log.read_text(encoding="utf-8") if self._log.exists() else ""

    async def command(self, *arguments: str) -> tuple[int, str, str]:
        """Run another command on the same data; return status, output, errors."""
        process = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "bot", *arguments,
            env=self.environment, cwd=REPOSITORY, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
        )  # fmt: skip
        output, errors = await process.communicate()
        assert process.returncode is not None
        return process.returncode, output.decode(), errors.decode()

    async def load(self, caseload: dict[str, Any]) -> None:
        path = self.data / "caseload.json"
        path.write_text(json.dumps(caseload), encoding="utf-8")
        status, _, errors = await self.command("load", str(path))
        assert status == 0, errors
