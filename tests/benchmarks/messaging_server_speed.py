"""How many calls a second the local messaging server answers, limits off: python tests/benchmarks/messaging_server_speed.py.

The server runs in a process of its own; the caller writes HTTP by hand over eight connections, so that the server is
what is measured. Figures depend on the machine and on what else it does.
"""

from __future__ import annotations

import asyncio
import statistics
import subprocess
import sys
import time
from urllib.parse import urlsplit

CALLS = 8000
CONNECTIONS = 8
ROUNDS = 3
TOKEN = "1000:speed"


async def call(url: str, method: str, body: bytes, times: int) -> None:
    parts = urlsplit(url)
    reader, writer = await asyncio.open_connection(parts.hostname, parts.port)
    head = (
        f"POST {parts.path}{TOKEN}/{method} HTTP/1.1\r\nHost: {parts.netloc}\r\n"
        f"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    for _ in range(times):
        writer.write(head.encode() + body)
        answer = (await reader.readuntil(b"\r\n\r\n")).decode().lower()
        if " 200 " not in answer.splitlines()[0]:
            raise SystemExit(f"{method} was refused: {answer}")
        await reader.readexactly(int(answer.split("content-length: ")[1].split("\r\n")[0]))
    writer.close()


async def measure(url: str, method: str, body: bytes) -> float:
    began = time.perf_counter()
    share = CALLS // CONNECTIONS
    await asyncio.gather(*(call(url, method, body, share) for _ in range(CONNECTIONS)))
    return CALLS / (time.perf_counter() - began)


def main() -> None:
    arguments = ["--port", "0", "--token", TOKEN, "--no-limits", "--person", "5001:Sam"]
    with subprocess.Popen(
        [sys.executable, "-m", "demo.messaging", *arguments], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        url = server.stdout.readline().strip().removeprefix("base URL ")
        for method, body in {
            "getMe": b"",
            "sendMessage": b"chat_id=5001&text=%3Cb%3ETummy+time%3C%2Fb%3E+now&parse_mode=HTML",
            "getUpdates": b"timeout=0",
        }.items():
            rates = [asyncio.run(measure(url, method, body)) for _ in range(ROUNDS)]
            print(f"{method:12} {statistics.median(rates):7.0f} calls/s ({min(rates):.0f}-{max(rates):.0f})")
        server.terminate()


if __name__ == "__main__":
    main()
