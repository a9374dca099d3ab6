"""What a bot can call: the methods of the API by name in lower case, and how each is answered."""

from __future__ import annotations

from demo.messaging.methods import commands, media, messages, profile, updates
from demo.messaging.methods.method import Method

METHODS: dict[str, Method] = {
    **profile.METHODS,
    **updates.METHODS,
    **messages.METHODS,
    **media.METHODS,
    **commands.METHODS,
}
