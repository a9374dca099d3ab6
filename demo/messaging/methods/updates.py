"""How the bot comes by its updates: by asking, or by a webhook."""

from __future__ import annotations

import re
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

from demo.messaging.arguments import Arguments
from demo.messaging.chats import Json
from demo.messaging.errors import bad_request, conflict
from demo.messaging.methods.method import Described, Method
from demo.messaging.service import Service
from demo.messaging.updates import LONGEST_POLL

SECRET = re.compile(r"[A-Za-z0-9_-]{1,256}")


async def get_updates(service: Service, arguments: Arguments) -> list[Json]:
    if service.webhook is not None:
        raise conflict(
            "can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first"
        )
    _remember_allowed(service, arguments)
    limit = min(100, max(1, arguments.integer("limit", 100)))
    seconds = min(LONGEST_POLL, max(0, arguments.integer("timeout")))
    return await service.updates.poll(arguments.integer("offset"), limit, seconds)


def set_webhook(service: Service, arguments: Arguments) -> Described:
    url = arguments.text("url") or ""
    if not url:
        return delete_webhook(service, arguments)
    _check_url(url)
    secret = arguments.text("secret_token")
    if secret is not None and not SECRET.fullmatch(secret):
        raise bad_request("secret token contains unallowed characters")
    _remember_allowed(service, arguments)
    if arguments.flag("drop_pending_updates"):
        service.updates.forget_all()
    service.updates.end_poll(conflict("terminated by setWebhook request"))
    service.webhook = {
        "url": url,
        "secret_token": secret,
        "max_connections": min(100, max(1, arguments.integer("max_connections", 40))),
    }
    service.on_webhook()
    return Described(True, "Webhook was set")


def delete_webhook(service: Service, arguments: Arguments) -> Described:
    if arguments.flag("drop_pending_updates"):
        service.updates.forget_all()
    was_set, service.webhook = service.webhook is not None, None
    return Described(True, "Webhook was deleted" if was_set else "Webhook is already deleted")


def get_webhook_info(service: Service, arguments: Arguments) -> Json:
    webhook = service.webhook or {}
    info: Json = {
        "url": webhook.get("url", ""),
        "has_custom_certificate": False,
        "pending_update_count": len(service.updates),
    }
    for name in ("max_connections", "last_error_date", "last_error_message"):
        if name in webhook:
            info[name] = webhook[name]
    if service.updates.allowed:
        info["allowed_updates"] = service.updates.allowed
    return info


def _remember_allowed(service: Service, arguments: Arguments) -> None:
    allowed: Any = arguments.json("allowed_updates")
    if allowed is None:
        return
    if not isinstance(allowed, list):
        raise bad_request("can't parse allowed_updates: expected an Array of String")
    service.updates.allowed = [str(kind) for kind in allowed]


def _check_url(url: str) -> None:
    """The public API takes https alone; a loopback address may do without, as in that server's local mode."""
    parts = urlsplit(url)
    host = parts.hostname or ""
    try:
        loopback = host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        loopback = False
    if not loopback:
        raise bad_request("bad webhook: this server posts to loopback addresses only")
    if parts.scheme not in ("http", "https"):
        raise bad_request("bad webhook: an HTTPS URL must be provided for webhook")


METHODS: dict[str, Method] = {
    "getupdates": get_updates,
    "setwebhook": set_webhook,
    "deletewebhook": delete_webhook,
    "getwebhookinfo": get_webhook_info,
}
