"""The first tables; revisions and audit can be added to, never changed."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

STAYING = ("revisions", "audit")
"""Tables whose rows are never changed and never removed."""


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "cases",
        sa.Column("case_id", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        *_texts("saved_at", "label", "identifier", "searched", "seen_on", "operated_on"),
        sa.PrimaryKeyConstraint("case_id", name="pk_cases"),
    )
    op.create_table(
        "revisions",
        sa.Column("case_id", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        *_texts("dossier", "sha256", "before_sha256", "saved_at", "by", "why", "version"),
        sa.PrimaryKeyConstraint("case_id", "number", name="pk_revisions"),
    )
    op.create_table(
        "audit",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        *_texts("at", "by", "why", "what", "case_id"),
        sa.Column("revision", sa.Integer, nullable=False),
        *_texts("content_sha256", "chain_sha256"),
        sa.PrimaryKeyConstraint("number", name="pk_audit"),
    )
    op.create_table(
        "jobs",
        sa.Column("job_id", sa.String(32), nullable=False),
        *_texts("case_id", "state", "job", "changed_at"),
        sa.PrimaryKeyConstraint("job_id", name="pk_jobs"),
    )
    op.create_index("ix_jobs_case_id", "jobs", ["case_id"])
    op.create_table(
        "answers",
        sa.Column("key", sa.String(200), nullable=False),
        *_texts("asked_sha256"),
        sa.Column("status", sa.Integer, nullable=False),
        *_texts("body", "at"),
        sa.PrimaryKeyConstraint("key", name="pk_answers"),
    )
    op.create_table(
        "accounts",
        sa.Column("name", sa.String(80), nullable=False),
        *_texts("role", "password_hash"),
        sa.Column("failures", sa.Integer, nullable=False),
        *_texts("failed_at"),
        sa.PrimaryKeyConstraint("name", name="pk_accounts"),
    )
    op.create_table(
        "sessions",
        sa.Column("token_sha256", sa.String(64), nullable=False),
        *_texts("account", "began_at", "seen_at"),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_sessions"),
    )
    for table in STAYING:
        _keep_rows(table)


def _texts(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _keep_rows(table: str) -> None:
    """Let the database itself refuse to change or remove a row."""
    sentence = f"rows of {table} are never changed"
    if op.get_bind().dialect.name == "sqlite":
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
            )
        return
    op.execute(
        f"CREATE FUNCTION {table}_stay() RETURNS trigger AS "
        f"$$ BEGIN RAISE EXCEPTION '{sentence}'; END $$ LANGUAGE plpgsql"
    )
    op.execute(
        f"CREATE TRIGGER {table}_stay BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_stay()"
    )
