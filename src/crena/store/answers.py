"""Answers that were given, by the key of the question: asked twice, done once."""

from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import delete, insert, select

from crena.records import InputError, Record
from crena.store.canonical import canonical, sha256_of
from crena.store.database import Store, reading, writing
from crena.store.sql_tables import ANSWERS

KEPT = timedelta(days=2)
"""How long an answer is remembered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenAnswer(Record):
    """What was answered."""

    status: int
    body: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(Record):
    """What was asked: a key belongs to whoever chose it, so two people may choose the same."""

    by: str
    key: str
    asked_sha256: str


def remembered(store: Store, question: Question) -> GivenAnswer | None:
    """Return the answer that was given to this caller under this key, or nothing.

    Raises
    ------
    InputError
        If the key was used for another question.
    """
    chosen = select(ANSWERS).where(ANSWERS.c.key == _place(question))
    with reading(store) as connection:
        row = connection.execute(chosen).mappings().first()
    if row is None:
        return None
    if row["asked_sha256"] != question.asked_sha256:
        raise InputError("This Idempotency-Key was used for another request. Take a new one.")
    return GivenAnswer(status=row["status"], body=row["body"])


def remember(store: Store, question: Question, answer: GivenAnswer) -> None:
    """Keep an answer; those older than two days are dropped."""
    now, place = store.clock(), _place(question)
    with writing(store) as connection:
        connection.execute(delete(ANSWERS).where(ANSWERS.c.at < (now - KEPT).isoformat()))
        connection.execute(delete(ANSWERS).where(ANSWERS.c.key == place))
        connection.execute(
            insert(ANSWERS).values(
                key=place,
                asked_sha256=question.asked_sha256,
                status=answer.status,
                body=answer.body,
                at=now.isoformat(),
            )
        )


def _place(question: Question) -> str:
    return sha256_of(canonical([question.by, question.key]))
