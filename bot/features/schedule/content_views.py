"""What a carer hears about the day and the place of the family, in words and buttons."""

from __future__ import annotations

from datetime import timedelta
from zoneinfo import ZoneInfo

from bot.domain.outgoing import Button, Buttons, row
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.formats import day_shown, time_shown
from bot.features.schedule import views
from bot.features.schedule.contents import (
    AskedThatDay,
    BackHome,
    ChangeQuestion,
    DayChanged,
    DayConfirmed,
    DayLine,
    DayShown,
    HomeQuestion,
    NoFit,
    PartQuestion,
    PlaceLine,
    RightQuestion,
    SameTime,
    StayBegun,
    StayQuestion,
    StayShown,
    UntilQuestion,
    WhichPart,
    ZoneQuestion,
)
from bot.features.show import Shown, show
from bot.parsing.stay import city_of
from bot.phrases import Verbatim
from scheduling.plan import Plan

STAYS = (3, 7, 14)  # days, offered to tap


def _day(ctx: CarerContext, plan: Plan) -> Verbatim:
    return Verbatim(views.day_shown(plan, ctx.words))


def _button(ctx: CarerContext, name: str, data: str) -> Button:
    return Button(ctx.words.plain(name), data)


def _city(ctx: CarerContext, zone: str) -> str:
    return city_of(zone, ctx.words.language)


def _clock(ctx: CarerContext, zone: str) -> str:
    return time_shown(ctx.now.astimezone(ZoneInfo(zone)).time(), ctx.words)


# ---------------------------------------------------------------- the day


@show.register
def _(content: PartQuestion, ctx: CarerContext) -> Shown:
    text = views.question(content.part, ctx.family.nickname, ctx.words)
    if content.place:
        n, of = content.place
        text = ctx.words("shape.place", n=n, of=of) + " " + text
    return text, views.choices(content.part, ctx.words)


@show.register
def _(content: HomeQuestion, ctx: CarerContext) -> Shown:
    zones = [row(Button(_city(ctx, zone)[:24], verbs.ZONE_HOME.data(zone))) for zone in content.zones]
    elsewhere = row(_button(ctx, "shape.elsewhere", verbs.ZONE_ASK.data()))
    return ctx.words("shape.ask_zone"), (*zones, elsewhere)


@show.register
def _(content: WhichPart, ctx: CarerContext) -> Shown:
    return ctx.words("shape.which_part"), views.parts_menu(ctx.words)


@show.register
def _(content: DayShown, ctx: CarerContext) -> Shown:
    text = ctx.words("shape.this_day", nickname=ctx.family.nickname, day=_day(ctx, content.plan))
    if not content.may_change:
        return text, ()
    change = _button(ctx, "shape.change_button", verbs.DAY_CHANGE.data())
    return text + "\n" + ctx.words("shape.or_write"), (row(change),)


@show.register
def _(content: RightQuestion, ctx: CarerContext) -> Shown:
    right = _button(ctx, "shape.right_button", verbs.DAY_RIGHT.data())
    change = _button(ctx, "shape.change_button", verbs.DAY_CHANGE.data())
    text = ctx.words("shape.right_so", nickname=ctx.family.nickname, day=_day(ctx, content.plan))
    return text, (row(right, change),)


@show.register
def _(content: ChangeQuestion, ctx: CarerContext) -> Shown:
    words = ctx.words
    changes = Verbatim(views.change_shown(content.old, content.new, words, told=content.told))
    text = words("shape.shall_i", nickname=ctx.family.nickname, day=changes)
    if content.unclear:
        parts = ", ".join(words.plain(f"shape.part_{part}") for part in content.unclear)
        text += "\n\n" + words("shape.unclear", parts=parts)
    yes = _button(ctx, "shape.yes_button", verbs.DAY_APPLY.data())
    no = _button(ctx, "shape.no_button", verbs.DAY_NO.data())
    return text, (row(yes, no),)


@show.register
def _(content: DayChanged, ctx: CarerContext) -> Shown:
    lines = views.change_shown(content.old, content.new, ctx.words)
    if content.new.time_zone != content.old.time_zone:
        zone_line = ctx.words("shape.line_zone", city=_city(ctx, content.new.time_zone))
        lines = f"{lines}\n{zone_line}".strip()
    back = _button(ctx, "shape.undo_button", verbs.DAY_BACK.data(content.version))
    text = ctx.words("shape.changed", nickname=ctx.family.nickname, day=Verbatim(lines))
    return text, (row(back),)


@show.register
def _(content: DayConfirmed, ctx: CarerContext) -> Shown:
    return ctx.words("shape.confirmed", day=_day(ctx, content.plan)), ()


@show.register
def _(content: NoFit, ctx: CarerContext) -> Shown:
    text = ctx.words(f"shape.wrong_{content.reason}")
    return text, views.choices(content.part, ctx.words) if content.part else ()


@show.register
def _(content: DayLine, ctx: CarerContext) -> Shown:
    return ctx.words(f"shape.{content.line}"), ()


# ---------------------------------------------------------------- where the family is


def _home_button(ctx: CarerContext) -> Buttons:
    return (row(_button(ctx, "travel.home_button", verbs.TRAVEL_HOME.data())),)


@show.register
def _(content: StayShown, ctx: CarerContext) -> Shown:
    day = day_shown(content.until, ctx.words)
    return ctx.words("travel.now_there", city=_city(ctx, content.zone), day=day), _home_button(ctx)


@show.register
def _(content: StayQuestion, ctx: CarerContext) -> Shown:
    city, day = _city(ctx, content.zone), day_shown(content.until, ctx.words)
    if content.ahead:
        text = ctx.words("travel.shall_i_today", city=city, day=day)
    else:
        text = ctx.words("travel.shall_i", city=city, time=_clock(ctx, content.zone), day=day)
    yes = _button(ctx, "shape.yes_button", verbs.TRAVEL_GO.data(content.until.isoformat(), content.zone))
    no = _button(ctx, "shape.no_button", verbs.TRAVEL_NO.data())
    return text, (row(yes, no),)


@show.register
def _(content: AskedThatDay, ctx: CarerContext) -> Shown:
    since, until = day_shown(content.since, ctx.words), day_shown(content.until, ctx.words)
    return ctx.words("travel.that_day", city=_city(ctx, content.zone), since=since, until=until), ()


@show.register
def _(content: UntilQuestion, ctx: CarerContext) -> Shown:
    stays = [
        Button(
            ctx.words.plain("travel.days_button", n=days),
            verbs.TRAVEL_GO.data((ctx.today + timedelta(days=days)).isoformat(), content.zone),
        )
        for days in STAYS
    ]
    moved = _button(ctx, "travel.moved_button", verbs.ZONE_HOME.data(content.zone))
    return ctx.words("travel.until_when", city=_city(ctx, content.zone)), (row(*stays), row(moved))


@show.register
def _(content: ZoneQuestion, ctx: CarerContext) -> Shown:
    verb = verbs.ZONE_HOME if content.for_good else verbs.TRAVEL_TO
    buttons = tuple(
        row(Button(f"{_city(ctx, zone)[:14]}, {_clock(ctx, zone)}", verb.data(zone)))
        for zone in content.zones
    )
    return ctx.words("travel.is_it"), buttons


@show.register
def _(content: StayBegun, ctx: CarerContext) -> Shown:
    text = ctx.words(
        "travel.gone",
        city=_city(ctx, content.zone),
        time=_clock(ctx, content.zone),
        day=day_shown(content.until, ctx.words),
        home=_city(ctx, content.home),
    )
    return text, _home_button(ctx)


@show.register
def _(content: BackHome, ctx: CarerContext) -> Shown:
    return ctx.words("travel.home", city=_city(ctx, content.zone), time=_clock(ctx, content.zone)), ()


@show.register
def _(content: SameTime, ctx: CarerContext) -> Shown:
    return ctx.words("travel.same_time", city=_city(ctx, content.zone)), ()


@show.register
def _(content: PlaceLine, ctx: CarerContext) -> Shown:
    return ctx.words(f"travel.{content.line}"), ()
