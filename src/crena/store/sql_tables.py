"""The tables: small rows and hashes; the record itself is one text of JSON."""

from sqlalchemy import Column, Integer, MetaData, String, Table, Text

NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

METADATA = MetaData(naming_convention=NAMES)

CASES = Table(
    "cases",
    METADATA,
    Column("case_id", String(32), primary_key=True),
    Column("number", Integer, nullable=False),  # of the last revision
    Column("saved_at", String(40), nullable=False),
    Column("label", Text, nullable=False),
    Column("identifier", Text, nullable=False),
    Column("searched", Text, nullable=False),  # both, folded, for the search
    Column("seen_on", String(10), nullable=False),
    Column("operated_on", String(10), nullable=False),
)

REVISIONS = Table(
    "revisions",
    METADATA,
    Column("case_id", String(32), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("dossier", Text, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("before_sha256", String(64), nullable=False),
    Column("saved_at", String(40), nullable=False),
    Column("by", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("version", String(40), nullable=False),
)

AUDIT = Table(
    "audit",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("at", String(40), nullable=False),
    Column("by", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("what", String(40), nullable=False),
    Column("case_id", String(32), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("content_sha256", String(64), nullable=False),
    Column("chain_sha256", String(64), nullable=False),
)

JOBS = Table(
    "jobs",
    METADATA,
    Column("job_id", String(32), primary_key=True),
    Column("case_id", String(32), nullable=False, index=True),
    Column("state", String(20), nullable=False),
    Column("job", Text, nullable=False),
    Column("changed_at", String(40), nullable=False),
)

ANSWERS = Table(
    "answers",
    METADATA,
    Column("key", String(200), primary_key=True),
    Column("asked_sha256", String(64), nullable=False),
    Column("status", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("at", String(40), nullable=False),
)

ACCOUNTS = Table(
    "accounts",
    METADATA,
    Column("name", String(80), primary_key=True),
    Column("role", String(20), nullable=False),
    Column("password_hash", Text, nullable=False),
    Column("failures", Integer, nullable=False),
    Column("failed_at", String(40), nullable=False),
)

SESSIONS = Table(
    "sessions",
    METADATA,
    Column("token_sha256", String(64), primary_key=True),
    Column("account", String(80), nullable=False),
    Column("began_at", String(40), nullable=False),
    Column("seen_at", String(40), nullable=False),
)
