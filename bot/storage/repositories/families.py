"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import and_, bindparam, case, insert, not_, or_, select, update

from bot.domain.json_value import JsonValue
from bot.domain.people import Family
from bot.storage import beat
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, value_of
from bot.storage.tables import (
    families,
)

# Before any moment that a clock can show, a rehearsal clock's included.
AT_ONCE = datetime(1970, 1, 1, tzinfo=UTC)
from bot.domain.ids import FamilyId, TherapistId
from scheduling.hours import ALWAYS, Hours, hours_from


class Families(Repository):
    def find(self, family_id: FamilyId) -> Family | None:
        row = _FIND.first(self._conn, {"family": family_id})
        return None if row is None else _family(row)

    def of_ids(self, family_ids: Sequence[FamilyId]) -> list[Family]:
        """Return those of these families that there are, in the order of their ids."""
        rows = self._conn.execute(
            select(families).where(families.c.id.in_(family_ids)).order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def of_therapist(self, therapist_id: TherapistId) -> list[Family]:
        """Return the families of a therapist in the order of their ids, discharged ones included."""
        rows = self._conn.execute(
            select(families).where(families.c.therapist_id == therapist_id).order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def not_discharged_before(self, therapist_id: TherapistId, since: datetime) -> list[Family]:
        """Return a therapist's families in the order of their ids, those discharged before `since` left out."""
        gone = and_(
            families.c.state == "discharged",
            or_(families.c.discharged_at.is_(None), families.c.discharged_at < since),
        )
        rows = self._conn.execute(
            select(families)
            .where(families.c.therapist_id == therapist_id, not_(gone))
            .order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def active_ids(self) -> list[FamilyId]:
        """Return the ids of the families that get reminders, in order."""
        query = select(families.c.id).where(families.c.state == "active").order_by(families.c.id)
        return list(self._conn.scalars(query))

    def get(self, family_id: FamilyId) -> Family:
        """Return a family that is known to be kept. Raises NotKept."""
        return kept(self.find(family_id), "family", family_id)

    def add(
        self, family_id: FamilyId, *, therapist_id: TherapistId, nickname: str, time_zone: str, now: datetime
    ) -> None:
        """Keep a new family; it has no plan yet."""
        self._conn.execute(
            insert(families).values(
                id=family_id,
                therapist_id=therapist_id,
                nickname=nickname,
                time_zone=time_zone,
                joined_at=now,
            )
        )

    def note_loaded(self, family_id: FamilyId, mark: str) -> None:
        """Note which section of the caseload file was applied last. mark: its hash."""
        self._set(family_id, {"loaded": mark})

    # ------------------------------------------------------------ reminders held back

    def pause(self, family_id: FamilyId, *, until: datetime | None) -> None:
        """Send no reminders until an instant; None: until a carer says."""
        self._set(family_id, {"state": "paused", "paused_until": until})

    def end_pause(self, family_id: FamilyId) -> None:
        """Have reminders go on since a pause is over by the clock."""
        self._set(family_id, {"state": "active", "paused_until": None})

    def resume(self, family_id: FamilyId, now: datetime) -> None:
        """End a pause, a sleep, a "later" and a rest at once, and have the day replanned."""
        held = {"paused_until": None, "asleep_until": None, "hold_until": None, "rest_until": None}
        self._conn.execute(_RESUME, {"family": family_id, "plan_at": now, **held})

    def note_asleep(self, family_id: FamilyId, *, until: datetime, now: datetime) -> None:
        """Hold reminders back while the baby sleeps, and have the day replanned."""
        self._set(family_id, {"asleep_until": until, "plan_at": now})

    def note_awake(self, family_id: FamilyId, now: datetime) -> None:
        """Let reminders come again, and have the day replanned."""
        self._set(family_id, {"asleep_until": None, "plan_at": now})

    def hold(self, family_id: FamilyId, *, until: datetime, now: datetime) -> None:
        """Send nothing before an instant ("later"), and have the day replanned."""
        self._set(family_id, {"hold_until": until, "plan_at": now})

    def rest(self, family_id: FamilyId, *, until: datetime | None, now: datetime) -> None:
        """Send nothing before an instant after an emergency, and have the day replanned; None: the rest is over."""
        self._set(family_id, {"rest_until": until, "plan_at": now})

    # ------------------------------------------------------------ how often, how quiet

    def keep_times(self, family_id: FamilyId, *, keep: bool, now: datetime) -> None:
        """Let reminders stay where the plan puts them, or move by what is learned; the day is replanned."""
        self._set(family_id, {"keeps_times": keep, "plan_at": now})

    def book_planning(self, family_id: FamilyId, at: datetime | None) -> None:
        """Set when the day must next be planned; None: not before something else asks for it."""
        self._set(family_id, {"plan_at": at})

    def note_frequency_weighed(self, family_id: FamilyId, day: date) -> None:
        """Note the local day for which the number of reminders was last weighed."""
        self._set(family_id, {"budget_on": day})

    def set_frequency(self, family_id: FamilyId, *, budget: int, asked: int | None) -> None:
        """Set how many reminders a day there are, and the most that a carer asked for (None: never said)."""
        self._set(family_id, {"budget": budget, "asked_load": asked or 0})

    def note_heard(self, family_id: FamilyId, now: datetime) -> None:
        """Note that a carer wrote or pressed something."""
        self._set(family_id, {"heard_at": now})

    def note_check_in(self, family_id: FamilyId, now: datetime) -> None:
        """Note that carers got the check-in after days without a word."""
        self._set(family_id, {"kind_note_at": now})

    def note_inactivity_told(self, family_id: FamilyId, now: datetime) -> None:
        """Note that the therapist knows of days without a word."""
        self._set(family_id, {"silence_told_at": now})

    def keep_reminder_hours(self, family_id: FamilyId, hours: Hours, now: datetime) -> None:
        """Keep when reminders may come, and have the day replanned."""
        stored = None if hours == ALWAYS else [[list(span) for span in spans] for spans in hours]
        self._set(family_id, {"reminder_hours": stored, "plan_at": now})

    # ------------------------------------------------------------ the daily schedule and where it is lived

    def keep_schedule_answers(self, family_id: FamilyId, answers: Mapping[str, JsonValue]) -> None:
        """Keep what was answered of the daily schedule so far."""
        self._set(family_id, {"shape_draft": dict(answers)})

    def confirm_schedule(self, family_id: FamilyId, now: datetime) -> None:
        """Note that a carer gave or confirmed the daily schedule; answers on the way are done with."""
        self._set(family_id, {"shape_told_at": now, "shape_draft": None})

    def set_numbers(
        self,
        family_id: FamilyId,
        *,
        emergency_line: str | None,
        nurse_line: str | None,
        crisis_line: str | None,
    ) -> None:
        """Note whom a family calls; None for a number: the clinic's."""
        numbers = {"emergency_line": emergency_line, "nurse_line": nurse_line, "crisis_line": crisis_line}
        self._set(family_id, numbers)

    def begin_stay(self, family_id: FamilyId, *, home_zone: str, until: date) -> None:
        """Note that a family is away up to and with a local day. home_zone: the one to come back to."""
        self._set(family_id, {"home_zone": home_zone, "away_until": until})

    def end_stay(self, family_id: FamilyId) -> None:
        self._set(family_id, {"home_zone": None, "away_until": None})

    # ------------------------------------------------------------ who looks after them

    def discharge(self, family_id: FamilyId, now: datetime) -> None:
        """End reminders for good."""
        ended = {"plan_at": None, "paused_until": None}
        self._set(family_id, {"state": "discharged", "discharged_at": now, **ended})

    def take_back_discharge(self, family_id: FamilyId, now: datetime) -> None:
        """Have reminders go on, and the day replanned."""
        self._set(family_id, {"state": "active", "discharged_at": None, "plan_at": now})

    def give_to(self, family_id: FamilyId, therapist_id: TherapistId) -> None:
        """Make a therapist the family's own."""
        self._set(family_id, {"therapist_id": therapist_id})

    def allow_group(self, family_id: FamilyId, allowed: bool) -> None:
        self._set(family_id, {"group_allowed": allowed})

    def _set(self, family_id: FamilyId, values: Mapping[str, object]) -> None:
        _SET.change(self._conn, {"family": family_id, **values})

    def away(self) -> list[Family]:
        """Return the families that are in another zone for a while."""
        return [_family(row) for row in beat.AWAY.all(self._conn, {})]

    def request_replan(self, family_id: FamilyId, now: datetime, *, heard: bool = False) -> None:
        """Have a family's day replanned. heard: a carer's act asks for it, so the family was heard from."""
        self._set(family_id, {"plan_at": now, "heard_at": now} if heard else {"plan_at": now})

    def to_plan(self, now: datetime, *, limit: int = 200) -> list[FamilyId]:
        """Return families whose day must be planned (or whose pause is over)."""
        rows = beat.FAMILIES_TO_PLAN.all(self._conn, {"now": now, "most": limit})
        return [row.id for row in rows]

    def next_planning(self) -> datetime | None:
        """Return when the next family must be planned or resumed."""
        return beat.first_of(self._conn, beat.NEXT_PLANNING)


# Built once: every message asks for them. What is set, is told by the values given.
_FIND = Prepared(select(families).where(families.c.id == bindparam("family")))
_ITS_ROW = update(families).where(families.c.id == bindparam("family"))
_SET = Prepared(_ITS_ROW)
_RESUME = _ITS_ROW.values(state=case((families.c.state == "paused", "active"), else_=families.c.state))


def _family(row: AnyRow) -> Family:
    hours = hours_from(row.reminder_hours)
    return value_of(Family, row, zone=ZoneInfo(row.time_zone), reminder_hours=hours)
