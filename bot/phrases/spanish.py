"""Where Spanish words agree with a value that is filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping

_ARTICLE = re.compile(r"\b([Ll])as(?= \{(\w+)\})")


def agreed(template: str, values: Mapping[str, object]) -> str:
    """Return the template with the article of its hours: "a las {time}" is "a la {time}" at one o'clock, "1:30"."""

    def article(found: re.Match[str]) -> str:
        one = str(values.get(found[2], "")).startswith("1:")
        return f"{found[1]}a" if one else found[0]

    return _ARTICLE.sub(article, template)
