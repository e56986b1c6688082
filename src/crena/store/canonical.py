"""One way to write a record as text, and its hash."""

import hashlib
import json
from typing import Any


def canonical(content: Any) -> str:
    """Write plain content as JSON: sorted keys, no blanks, no NaN.

    >>> canonical({"b": 1, "a": [1.5, None]})
    '{"a":[1.5,null],"b":1}'
    """
    return json.dumps(
        content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def sha256_of(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8, as hexadecimal digits."""
    return hashlib.sha256(text.encode()).hexdigest()
