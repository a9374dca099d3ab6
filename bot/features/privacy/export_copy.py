"""A carer's copy of what is kept: what is read for it, and how it is written from that."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bot.activities.library import Library
from bot.digest.wording import names_in
from bot.domain.outgoing import Attachment, Drawn
from bot.domain.rendering import CopyRequest
from bot.features.context import Context
from bot.features.privacy.export_page import copy_page
from bot.phrases import words_for
from bot.storage.reports.data_export import copy_of


@dataclass(frozen=True, slots=True)
class CopyWork:
    """What a copy is written from: all that is kept, as JSON values."""

    request: CopyRequest
    kept: Mapping[str, Any]

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        language = self.request.language
        if self.request.form == "page":
            content = copy_page(self.kept, words_for(language), names_in(library, language))
            name = "copy.html"
        else:
            content = json.dumps(self.kept, ensure_ascii=False, indent=1)
            name = "copy.json"
        return (Drawn(attachment=Attachment("document", name, content=content.encode())),)


def gather(context: Context, request: CopyRequest) -> CopyWork | None:
    family = context.uow.families.find(request.family)
    carer = context.uow.carers.find(request.family, request.carer)
    if family is None or carer is None:
        return None
    kept = copy_of(context.uow, family, carer, context.now, whole_family=request.whole_family)
    return CopyWork(request, kept)
