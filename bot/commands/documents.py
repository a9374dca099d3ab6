"""Reading JSON and YAML files that people write."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import yaml


class Unreadable(ValueError):
    """A file is missing, or holds neither JSON nor YAML."""


class _Loader(yaml.SafeLoader):
    """YAML 1.1 reads an unquoted 19:00 as the number 1140; here it stays a time of day."""


_Loader.yaml_implicit_resolvers = {
    first: [
        (
            tag,
            re.compile("(?!.*:)" + pattern.pattern, re.VERBOSE)
            if tag.endswith((":int", ":float"))
            else pattern,
        )
        for tag, pattern in resolvers
    ]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def read_document(path: Path) -> Any:
    """Return what a JSON or YAML file holds.

    Raises:
        Unreadable: with one sentence that names the file, the place and the fault.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise Unreadable(f"{path}: cannot be read ({reason})") from None
    try:
        return json.loads(text) if path.suffix == ".json" else yaml.load(text, Loader=_Loader)  # noqa: S506
    except json.JSONDecodeError as error:
        raise Unreadable(
            f"{path}: not JSON at line {error.lineno}, column {error.colno} ({error.msg})"
        ) from None
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        place = getattr(error, "problem_mark", None)
        where = f" at line {place.line + 1}, column {place.column + 1}" if place else ""
        raise Unreadable(f"{path}: not {'JSON' if path.suffix == '.json' else 'YAML'}{where}") from None
