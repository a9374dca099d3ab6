"""The shape of a method, and the answer that carries words beside its result."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

from demo.messaging.arguments import Arguments
from demo.messaging.service import Service

Method = Callable[[Service, Arguments], Any | Awaitable[Any]]


@dataclass(frozen=True, slots=True)
class Described:
    """A result with a description, as setWebhook has one."""

    result: Any
    description: str
