"""Names made of content: the same parts give the same identity, on any machine."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any


def digest(*parts: bytes | str) -> str:
    """SHA-256 of the parts as 64 hex digits. Text counts as its UTF-8 bytes.

    Each part goes in behind its own length, so that ("ab", "c") and ("a", "bc") differ.
    """
    whole = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8") if isinstance(part, str) else part
        whole.update(len(data).to_bytes(8, "big"))
        whole.update(data)
    return whole.hexdigest()


def sha256_of(data: bytes) -> str:
    """The plain SHA-256 of some bytes, as any other tool would print it."""
    return hashlib.sha256(data).hexdigest()


def canonical_json(thing: Any) -> str:
    """One text for one content: keys sorted, no spare blanks, tuples as lists.

    Raises ValueError for NaN and infinities, which JSON cannot say, and TypeError for anything that is
    not made of mappings, sequences, text, numbers, truth values and None.
    """
    return json.dumps(
        thing, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False, default=_plain
    )


def _plain(thing: Any) -> Any:
    if isinstance(thing, Mapping):
        return dict(thing)
    raise TypeError(f"no canonical JSON for {type(thing).__name__}")
