"""The library's way to the messaging service, on a client that costs a quarter of its default one.

The library documents classes of one's own for this (telegram.request.BaseRequest). Trust and proxies are as with its default:
certificates from the list that httpx brings or SSL_CERT_FILE names, a proxy from HTTPS_PROXY, HTTP_PROXY, ALL_PROXY, NO_PROXY.
"""

from __future__ import annotations

import ssl
from functools import lru_cache
from typing import cast
from urllib.parse import urlencode, urlsplit
from urllib.request import getproxies, proxy_bypass

import aiohttp
import httpx
from telegram.error import NetworkError, TimedOut
from telegram.request import BaseRequest, RequestData

CONNECT_WITHIN, ANSWER_WITHIN, SENT_WITHIN, FILE_SENT_WITHIN = 5.0, 10.0, 5.0, 20.0  # seconds
KEPT_OPEN = 15.0  # seconds for which an idle connection is used again

FORM = {"Content-Type": "application/x-www-form-urlencoded"}

# Whatever ends in one of these never left: the connection itself did not come about.
NEVER_LEFT = (
    aiohttp.ConnectionTimeoutError,
    aiohttp.ClientConnectorError,
    aiohttp.ClientConnectorCertificateError,
    aiohttp.ClientHttpProxyError,
)


class HttpClient(BaseRequest):
    """A pool of `connections` that are kept open. wait: seconds for which a request waits for a free one, and its connecting.

    Raises TimedOut and NetworkError of the library; `never_left` tells whether the service cannot have got the request.
    """

    __slots__ = ("_connections", "_session", "_wait")

    def __init__(self, connections: int, *, wait: float = CONNECT_WITHIN) -> None:
        self._connections, self._wait = connections, wait
        self._session: aiohttp.ClientSession | None = None

    @property
    def read_timeout(self) -> float:
        return ANSWER_WITHIN

    async def initialize(self) -> None:
        if self._session is None:
            self._session = aiohttp.ClientSession(
                connector=aiohttp.TCPConnector(limit=self._connections, keepalive_timeout=KEPT_OPEN),
                cookie_jar=aiohttp.DummyCookieJar(),
                headers={"User-Agent": self.USER_AGENT},
            )

    async def shutdown(self) -> None:
        session, self._session = self._session, None
        if session is not None:
            await session.close()

    async def do_request(
        self,
        url: str,
        method: str,
        request_data: RequestData | None = None,
        read_timeout: object = BaseRequest.DEFAULT_NONE,
        write_timeout: object = BaseRequest.DEFAULT_NONE,
        connect_timeout: object = BaseRequest.DEFAULT_NONE,
        pool_timeout: object = BaseRequest.DEFAULT_NONE,
    ) -> tuple[int, bytes]:
        """Return the status and body of the answer. Timeouts in seconds; None for no limit."""
        if self._session is None:
            raise RuntimeError("the client is not initialized")
        with_files = request_data is not None and request_data.contains_files
        read, connect = _given(read_timeout, ANSWER_WITHIN), _given(connect_timeout, CONNECT_WITHIN)
        write = _given(write_timeout, FILE_SENT_WITHIN if with_files else SENT_WITHIN)
        connected = _sum(_given(pool_timeout, self._wait), connect)
        body = _body(request_data)
        limits = aiohttp.ClientTimeout(
            total=_sum(connected, write, read), connect=connected, sock_connect=connect, sock_read=read
        )
        try:
            async with self._session.request(
                method, url, data=body, headers=FORM if isinstance(body, bytes) else None, timeout=limits,
                allow_redirects=False,
                proxy=_proxy_for(url), ssl=_trust() if url.startswith("https:") else True,
            ) as answer:  # fmt: skip
                return answer.status, await answer.read()
        except TimeoutError as error:
            raise TimedOut from error
        except aiohttp.ClientConnectorError as error:
            raise NetworkError(str(error)) from error
        except aiohttp.ClientError as error:
            # What else these say may hold the address, and with it the token.
            raise NetworkError(type(error).__name__) from error


def never_left(error: BaseException) -> bool:
    """Return whether what was raised here means that the service cannot have got the request."""
    return isinstance(error.__cause__, NEVER_LEFT)


def _given(seconds: object, usual: float) -> float | None:
    return usual if seconds is BaseRequest.DEFAULT_NONE else cast("float | None", seconds)


def _sum(*seconds: float | None) -> float | None:
    known = [each for each in seconds if each is not None]
    return sum(known) if len(known) == len(seconds) else None


def _body(data: RequestData | None) -> aiohttp.FormData | bytes | None:
    if data is None:
        return None
    if not data.contains_files:
        return urlencode(data.json_parameters).encode("ascii")
    form = aiohttp.FormData(data.json_parameters)
    for name, (file_name, content, kind) in data.multipart_data.items():
        form.add_field(name, content, filename=file_name, content_type=kind)
    return form


@lru_cache(maxsize=1)
def _trust() -> ssl.SSLContext:
    return httpx.create_ssl_context()


def _proxy_for(url: str) -> str | None:
    parts = urlsplit(url)
    return _proxy_of(parts.scheme, parts.netloc)


@lru_cache(maxsize=16)
def _proxy_of(scheme: str, host: str) -> str | None:
    """Return the proxy that the environment names for a host."""
    proxies = getproxies()
    proxy = proxies.get(scheme) or proxies.get("all")
    if proxy is None or proxy_bypass(host):
        return None
    return proxy if "://" in proxy else f"http://{proxy}"
