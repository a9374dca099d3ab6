"""Updates posted to the bot's own address, each until it is taken or has grown too old."""

from __future__ import annotations

import asyncio
import random
from typing import Any

import httpx

from demo.messaging.service import Service
from demo.messaging.updates import Waiting

SECRET_HEADER = "X-Telegram-Bot-Api-Secret-Token"
# The open-source server (tdlib/telegram-bot-api, WebhookActor.cpp): at once, then 2, 4, 8 … up to 60-120 s.
FIRST_PAUSE = 2.0
LONGEST_PAUSE = 60.0
LONGEST_RETRY_AFTER = 3600.0
IDLE_SECONDS = 60.0


class WebhookSender:
    """Posts what waits: in order and one at a time for each chat, many chats side by side."""

    def __init__(self, service: Service, *, pause_scale: float = 1.0, seed: int = 0) -> None:
        """pause_scale: factor on the pauses between repeats, so that a test need not wait."""
        self._service = service
        self._pause_scale = pause_scale
        self._random = random.Random(seed)
        self._tasks: dict[int | None, asyncio.Task[None]] = {}
        self._client: httpx.AsyncClient | None = None

    def start(self) -> None:
        # Loopback only: a certificate there is the bot's own, and loading the world's takes 50 ms.
        self._client = httpx.AsyncClient(
            verify=False, timeout=IDLE_SECONDS, limits=httpx.Limits(max_connections=100)
        )
        self._service.updates.on_new = self._wake_for
        self._service.on_webhook = self.wake

    async def stop(self) -> None:
        self._service.updates.on_new = lambda chat_id: None
        self._service.on_webhook = lambda: None
        tasks = list(self._tasks.values())
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        if self._client is not None:
            await self._client.aclose()

    def wake(self) -> None:
        """Begin with every chat whose turn it is."""
        webhook = self._service.webhook
        if webhook is None or self._client is None:
            return
        for update in self._service.updates.waiting():
            if len(self._tasks) >= webhook["max_connections"]:
                return
            if update.chat_id not in self._tasks:
                task = asyncio.get_running_loop().create_task(self._deliver(update, webhook))
                self._tasks[update.chat_id] = task

    def _wake_for(self, chat_id: int | None) -> None:
        if chat_id not in self._tasks:
            self.wake()

    async def _deliver(self, update: Waiting, webhook: dict[str, Any]) -> None:
        try:
            if await self._post_until_taken(update, webhook):
                self._service.updates.confirm(update.update_id)
                for again in self._service.updates.take_repeats():
                    await self._post(again, webhook)
        finally:
            del self._tasks[update.chat_id]
        self.wake()

    async def _post_until_taken(self, update: Waiting, webhook: dict[str, Any]) -> bool:
        pause = 0.0
        while self._service.webhook is webhook:
            status, retry_after = await self._post(update, webhook)
            if 200 <= status < 300:
                return True
            self._note_failure(webhook, status)
            wait = min(retry_after, LONGEST_RETRY_AFTER) if retry_after else pause
            if self._service.clock.elapsed() + wait >= update.expires_at:
                self._service.updates.drop(update.update_id)
                return False
            await asyncio.sleep(wait * self._pause_scale)
            pause = min(LONGEST_PAUSE, max(FIRST_PAUSE, pause * 2)) * (1 + self._random.random() * 0.1)
        return False

    async def _post(self, update: Waiting, webhook: dict[str, Any]) -> tuple[int, float]:
        """Return the status of the answer (0 for none) and its Retry-After in seconds (0 for none)."""
        assert self._client is not None
        headers = {SECRET_HEADER: webhook["secret_token"]} if webhook["secret_token"] else {}
        self._service.record.handed[update.update_id] += 1
        try:
            answer = await self._client.post(webhook["url"], json=update.body, headers=headers)
        except httpx.HTTPError:
            return 0, 0.0
        given = answer.headers.get("Retry-After", "")
        return answer.status_code, float(given) if given.isdigit() else 0.0

    def _note_failure(self, webhook: dict[str, Any], status: int) -> None:
        webhook["last_error_date"] = int(self._service.clock.now())
        webhook["last_error_message"] = (
            f"Wrong response from the webhook: {status}" if status else "Connection failed"
        )
