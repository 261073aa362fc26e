"""Text that somebody typed or a file holds, made fit for a paper, a drawing or a file's name."""

from __future__ import annotations

import re
import unicodedata

_TURNS = dict.fromkeys((0x200E, 0x200F, 0x061C, *range(0x202A, 0x202F), *range(0x2066, 0x206A)))
"""Characters without a shape that turn the direction of what follows them (Unicode Standard Annex 9)."""

OPEN, CLOSE = "\u2068", "\u2069"
"""First strong isolate and its end: what stands between them turns nothing outside (Unicode Standard Annex 9)."""


def one_line(text: str) -> str:
    """Composed, on one line, and without characters that turn the text around them; a space for every other control."""
    composed = unicodedata.normalize("NFC", text).translate(_TURNS)
    spaced = "".join(" " if unicodedata.category(mark) in ("Cc", "Zl", "Zp", "Cs") else mark for mark in composed)
    return re.sub(" {2,}", " ", spaced).strip()


def isolated(text: str) -> str:
    """The same for a sentence: whatever its own direction, the words around it keep theirs."""
    return f"{OPEN}{one_line(text)}{CLOSE}"


def file_word(text: str) -> str:
    """The same for a part of a file's name: small letters, figures and hyphens alone."""
    apart = unicodedata.normalize("NFKD", one_line(text)).encode("ascii", "ignore").decode("ascii").lower()
    return re.sub("[^a-z0-9]+", "-", apart).strip("-")
