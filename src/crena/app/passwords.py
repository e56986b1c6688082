"""Passwords as argon2id hashes; whether a name is known does not show in the time it takes."""

import secrets
from functools import cache

from pwdlib import PasswordHash
from pwdlib.exceptions import UnknownHashError
from pwdlib.hashers.argon2 import Argon2Hasher

from crena.records import InputError

LEAST_SIGNS, MOST_SIGNS = 12, 200
"""Length of a password (assumed); what signs it has is its owner's affair."""

HASHES = PasswordHash((Argon2Hasher(),))


def hashed(password: str) -> str:
    """Return the hash of a new password, with a salt of its own.

    Raises
    ------
    InputError
        If it is too short or too long.
    """
    if not LEAST_SIGNS <= len(password) <= MOST_SIGNS:
        raise InputError(
            f"A password has {LEAST_SIGNS} to {MOST_SIGNS} signs; this one has {len(password)}. "
            "Four words that do not belong together are easy to keep in mind."
        )
    return HASHES.hash(password)


def is_right(password: str, password_hash: str | None) -> bool:
    """Tell whether a password is the one that was hashed.

    Parameters
    ----------
    password : str
        As typed.
    password_hash : str or None
        None: there is no such account; the answer is no, after the same work.
    """
    try:
        found = HASHES.verify(password, password_hash or _nobodys_hash())
    except UnknownHashError:
        return False
    return found and password_hash is not None


@cache
def _nobodys_hash() -> str:
    return HASHES.hash(secrets.token_urlsafe(24))
