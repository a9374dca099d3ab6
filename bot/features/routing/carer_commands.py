"""What a carer's command does; words after it that tell a concern go first."""

from __future__ import annotations

from bot.domain.roles import is_day_care
from bot.features.context import CarerContext
from bot.features.digests import family_week
from bot.features.enrolment import joining
from bot.features.events import (
    TextWritten,
)
from bot.features.privacy import rights
from bot.features.refreshers import refresher
from bot.features.reminders import duty
from bot.features.reminders import handlers as reminders
from bot.features.routing import (
    carer_message,
    carer_signs,
    unknown_command,
)
from bot.features.schedule import dialog, travel


def holds_concern(ctx: CarerContext) -> bool:
    if " " not in ctx.text.strip():
        return False
    reading = carer_message.reading_of(ctx)
    return reading.concern is not None or reading.unclear is not None


def do_command(ctx: CarerContext, event: TextWritten) -> None:
    """Do what a command of a carer asks; words after it that tell a concern go first ("/today he is blue")."""
    if holds_concern(ctx):
        carer_message.read_message(ctx, event)
        return
    command, _, rest = ("/" + ctx.text.lstrip("/ ")).partition(" ")
    match command.lower().partition("@")[0]:
        case "/start" if ctx.family.shape_told_at is None and not is_day_care(ctx.carer):
            dialog.begin(ctx)
        case "/start" | "/help":
            family_week.help_shown(ctx)
        case "/today":
            family_week.today(ctx)
        case "/week":
            family_week.week(ctx)
        case "/howto" if rest.strip():
            carer_signs.howto(ctx, event, rest.strip())
        case "/howto":
            refresher.choose(ctx)
        case "/pause":
            reminders.pause(ctx, None)
        case "/resume":
            reminders.resume(ctx)
        case "/stop":
            family_week.stop_offered(ctx)
        case "/leave":
            rights.leave_asked(ctx)
        case "/privacy":
            rights.shown(ctx)
        case "/day":
            dialog.show(ctx)
        case "/duty":
            duty.asked(ctx)
        case "/travel":
            travel.offered(ctx)
        case "/language":
            joining.language_asked(ctx)
        case _:
            unknown_command.unknown_command(ctx, event)
