"""Answers that were given, by the key of the question: asked twice, done once."""

from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import delete, insert, select

from crena.records import InputError, Record
from crena.store.database import Store, reading, writing
from crena.store.sql_tables import ANSWERS

KEPT = timedelta(days=2)
"""How long an answer is remembered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenAnswer(Record):
    """What was answered."""

    status: int
    body: str


def remembered(store: Store, key: str, asked_sha256: str) -> GivenAnswer | None:
    """Return the answer that was given under this key, or nothing.

    Raises
    ------
    InputError
        If the key was used for another question.
    """
    with reading(store) as connection:
        row = connection.execute(select(ANSWERS).where(ANSWERS.c.key == key)).mappings().first()
    if row is None:
        return None
    if row["asked_sha256"] != asked_sha256:
        raise InputError("This Idempotency-Key was used for another request. Take a new one.")
    return GivenAnswer(status=row["status"], body=row["body"])


def remember(store: Store, key: str, asked_sha256: str, answer: GivenAnswer) -> None:
    """Keep an answer; those older than two days are dropped."""
    now = store.clock()
    with writing(store) as connection:
        connection.execute(delete(ANSWERS).where(ANSWERS.c.at < (now - KEPT).isoformat()))
        connection.execute(delete(ANSWERS).where(ANSWERS.c.key == key))
        connection.execute(
            insert(ANSWERS).values(
                key=key,
                asked_sha256=asked_sha256,
                status=answer.status,
                body=answer.body,
                at=now.isoformat(),
            )
        )
