"""What is said, as a value: the base of every content, so that the type checker lets nothing else be said."""

from __future__ import annotations


class Content:
    """What a person is told, before it has words. Each has a view, registered with bot/features/show.py."""

    __slots__ = ()
