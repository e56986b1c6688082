"""Unique identifiers that are the same whenever the same words are given."""

import hashlib
import uuid


def uid(*words: object) -> str:
    """Return the DICOM identifier of some words: the same words, the same identifier.

    Parameters
    ----------
    *words : object
        What tells this identifier from all others; each is read as text.

    Returns
    -------
    str
        An identifier under the root 2.25, at most 44 characters.

    Notes
    -----
    The root 2.25 holds the decimal value of a UUID (DICOM PS3.5, B.2); the UUID is of
    version 8, filled from a SHA-256 digest (RFC 9562, 5.8).

    Examples
    --------
    >>> uid("series", 1) == uid("series", 1), uid("series", 1) == uid("series", 2)
    (True, False)
    >>> uid("series", 1).startswith("2.25.")
    True
    """
    digest = hashlib.sha256("\x1f".join(map(str, words)).encode()).digest()
    bits = bytearray(digest[:16])
    bits[6] = (bits[6] & 0x0F) | 0x80
    bits[8] = (bits[8] & 0x3F) | 0x80
    return f"2.25.{uuid.UUID(bytes=bytes(bits)).int}"
