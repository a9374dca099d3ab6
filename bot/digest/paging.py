"""Lines of HTML as messages that each fit a phone, with nothing lost."""

from __future__ import annotations

from collections.abc import Iterable

PAGE_UNITS = 1200
"""About what one phone screen holds at a usual letter size, in UTF-16 units, counted with markup."""


def packed(lines: Iterable[str]) -> list[str]:
    """Return lines of HTML as messages of at most 1200 UTF-16 units each, no character lost.

    A line that is longer than a message is broken, at a space where there is one. A heading (a line that is bold from
    end to end) never stands last on a page.
    """
    pages: list[list[str]] = [[]]
    for line in (piece for whole in lines for piece in pieces(whole)):
        if pages[-1] and units("\n".join([*pages[-1], line])) > PAGE_UNITS:
            pages.append(_taken_along(pages[-1]))
        if line or pages[-1]:
            pages[-1].append(line)
    return ["\n".join(page).rstrip("\n") for page in pages if any(page)]


def _taken_along(page: list[str]) -> list[str]:
    """Take the headings off a page's end, for the next one to begin with; a page of headings alone stays."""
    kept = len(page)
    while kept and (_is_heading(page[kept - 1]) or not page[kept - 1]):
        kept -= 1
    if not kept:
        return []
    taken = [line for line in page[kept:] if line]
    del page[kept:]
    return taken


def _is_heading(line: str) -> bool:
    return line.startswith("<b>") and line.endswith("</b>") and line.count("<b>") == 1


def pieces(line: str) -> list[str]:
    """Break one line of HTML so that each piece fits a message; entities stay whole."""
    broken = []
    while units(line) > PAGE_UNITS:
        end = _fitting(line)
        broken.append(line[:end])
        line = line[end:]
    return [*broken, line]


def _fitting(line: str) -> int:
    """Return how many characters of an escaped line fit a message, ending after a space where possible."""
    size = end = 0
    while size < PAGE_UNITS and end < len(line):
        size += units(line[end])
        end += 1
    end -= size > PAGE_UNITS
    space = line.rfind(" ", end // 2, end)
    if space > 0:
        return space + 1
    entity = line.rfind("&", max(0, end - 6), end)
    return entity if entity > 0 and ";" not in line[entity:end] else end


def units(text: str) -> int:
    """Return the length of a text in UTF-16 units, as the messaging service counts."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2
