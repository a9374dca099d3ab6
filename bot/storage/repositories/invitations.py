"""One-time invitations: made of 100 random bits, kept only as a hash, used once, and not guessed at leisure."""

from __future__ import annotations

import hashlib
import re
import secrets
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, insert, select, update

from bot.domain.ids import CarerId, ChatId, FamilyId, TherapistId
from bot.domain.invitations import Invitation
from bot.storage.repository import Repository
from bot.storage.tables import chats, invitations

VALID = timedelta(days=14)

MOST_WRONG_CODES = 5  # in an hour, from one chat

ALPHABET = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"  # none that look alike in print

CODE_LENGTH = 20  # 31 ** 20 is about 2 ** 99

_PRINTED = re.compile(rf"[{ALPHABET}]{{5}}(-?)[{ALPHABET}]{{5}}(\1[{ALPHABET}]{{5}}){{2}}")


class Invitations(Repository):
    def invite(
        self,
        *,
        now: datetime,
        family_id: FamilyId | None = None,
        carer_id: CarerId | None = None,
        therapist_id: TherapistId | None = None,
    ) -> str:
        """Make an invitation in place of any unused one for the same person; return its code, which is not kept."""
        code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
        self.withdraw(now, family_id=family_id, carer_id=carer_id, therapist_id=therapist_id)
        self._conn.execute(
            insert(invitations).values(
                code_hash=_hash(code),
                family_id=family_id,
                carer_id=carer_id,
                therapist_id=therapist_id,
                expires_at=now + VALID,
            )
        )
        return code

    def withdraw(
        self,
        now: datetime,
        *,
        family_id: FamilyId | None = None,
        carer_id: CarerId | None = None,
        therapist_id: TherapistId | None = None,
    ) -> None:
        """Take an unused invitation of somebody back."""
        self._conn.execute(
            update(invitations)
            .where(_for(family_id, carer_id, therapist_id), invitations.c.used_at.is_(None))
            .values(used_at=now)
        )

    def has_open(self, family_id: FamilyId, carer_id: CarerId, now: datetime) -> bool:
        return (
            self._conn.scalar(
                select(invitations.c.code_hash).where(
                    invitations.c.family_id == family_id,
                    invitations.c.carer_id == carer_id,
                    invitations.c.used_at.is_(None),
                    invitations.c.expires_at > now,
                )
            )
            is not None
        )

    def may_try(self, chat_id: ChatId, now: datetime) -> bool:
        """Return whether a chat may try a code: not after too many wrong ones within the hour."""
        row = (
            self._conn.execute(
                select(chats.c.wrong_codes, chats.c.wrong_code_at).where(chats.c.chat_id == chat_id)
            )
        ).first()
        if row is None or row.wrong_code_at is None or now - row.wrong_code_at > timedelta(hours=1):
            return True
        return int(row.wrong_codes) < MOST_WRONG_CODES

    def note_wrong(self, chat_id: ChatId, now: datetime) -> None:
        row = (
            self._conn.execute(
                select(chats.c.wrong_codes, chats.c.wrong_code_at).where(chats.c.chat_id == chat_id)
            )
        ).first()
        if row is None:
            self._conn.execute(insert(chats).values(chat_id=chat_id, wrong_codes=1, wrong_code_at=now))
            return
        old = row.wrong_code_at is None or now - row.wrong_code_at > timedelta(hours=1)
        self._conn.execute(
            update(chats)
            .where(chats.c.chat_id == chat_id)
            .values(
                wrong_codes=1 if old else row.wrong_codes + 1, wrong_code_at=now if old else row.wrong_code_at
            )
        )

    def peek(self, code: str, now: datetime) -> Invitation | None:
        """Return what a code invites to, without using it up; None where `accept` would refuse it."""
        row = (
            self._conn.execute(
                select(invitations).where(
                    invitations.c.code_hash == _hash(code),
                    invitations.c.used_at.is_(None),
                    invitations.c.expires_at > now,
                )
            )
        ).first()
        return None if row is None else Invitation(row.family_id, row.carer_id, row.therapist_id)

    def accept(self, code: str, now: datetime) -> Invitation | None:
        """Use up an invitation; None where there is no such code, or it was used or is too old."""
        row = (
            self._conn.execute(
                update(invitations)
                .where(
                    invitations.c.code_hash == _hash(code),
                    invitations.c.used_at.is_(None),
                    invitations.c.expires_at > now,
                )
                .values(used_at=now)
                .returning(invitations)
            )
        ).first()
        return None if row is None else Invitation(row.family_id, row.carer_id, row.therapist_id)


def _for(
    family_id: FamilyId | None, carer_id: CarerId | None, therapist_id: TherapistId | None
) -> ColumnElement[bool]:
    if therapist_id is not None:
        return invitations.c.therapist_id == therapist_id
    return (invitations.c.family_id == family_id) & (invitations.c.carer_id == carer_id)


def _hash(code: str) -> str:
    return hashlib.sha256(normalise(code).encode()).hexdigest()


def normalise(code: str) -> str:
    """Return a typed code without the dashes and spaces that make it readable in print."""
    return "".join(c for c in code.upper() if c.isalnum())


def printed(code: str) -> str:
    """Return a code in groups of five, for paper."""
    return "-".join(code[i : i + 5] for i in range(0, len(code), 5))


def looks_like_code(text: str) -> bool:
    """Say whether a message is nothing but a printed code, with its dashes or in one piece.

    Not with spaces: a concern of a few short words must not be taken for one.
    """
    return _PRINTED.fullmatch(text.strip().upper()) is not None
