"""Papers for tests: laid out once for all that is asked of them, and read back from their PDF as a person would."""

from __future__ import annotations

import functools
import tempfile
from pathlib import Path

import msgspec
import pypdf
import pytest
from PySide6.QtCore import QPointF, QRectF, QSizeF

from app.documents.files import SAMPLES
from app.papers.layout import Sheet
from app.papers.output import PAPERS, make, write_pdf
from app.papers.page_marks import Mark
from tests.samples import sample
from tests.thoroughness import times

DATE = "2026-03-04"
PAGES = ("a4", "letter")
REPLACE = msgspec.structs.replace

SOME_RIGS = tuple(SAMPLES)[:3]
PAPERS_OF_RIGS = [
    pytest.param(kind, rig, marks=() if rig in SOME_RIGS else pytest.mark.slow)
    for nth, rig in enumerate(SAMPLES)
    for at, kind in enumerate(PAPERS)
    if rig in SOME_RIGS or (nth + at) % times(12, 4) == 0
]
"""Every paper of some rigs; of the others every twelfth one, in turn, so that each paper meets one of them or so.

With ``TAILWEIGHT_THOROUGH=1`` every fourth.
"""


def plain(text: str) -> str:
    """Text with every kind of white space as one space."""
    return " ".join(text.split())


@functools.cache
def sheet_of(kind: str, rig: str, page: str = "a4") -> Sheet:
    """A paper of a sample rig's first pose."""
    job = sample(rig)
    return make(kind, job, job.poses[0], page, DATE)


def read_back(sheet: Sheet, path: Path) -> list[str]:
    """Words of each page of a paper's PDF."""
    write_pdf(sheet, path)
    return [plain(page.extract_text()) for page in pypdf.PdfReader(path).pages]


def words_of(sheet: Sheet, folder: Path) -> str:
    """Words of all pages of a paper's PDF."""
    return " ".join(read_back(sheet, folder / "paper.pdf"))


@functools.cache
def pages_of(kind: str, rig: str) -> tuple[str, ...]:
    """Words of each page of a sample rig's paper."""
    with tempfile.TemporaryDirectory() as folder:
        return tuple(read_back(sheet_of(kind, rig), Path(folder) / "paper.pdf"))


def words_on(kind: str, rig: str) -> str:
    """Words of all pages of a sample rig's paper."""
    return " ".join(pages_of(kind, rig))


def outside(sheet: Sheet) -> list[Mark]:
    """Marks that do not lie inside their page; a sound paper has none."""
    page = QRectF(QPointF(), QSizeF(sheet.width, sheet.height))
    return [mark for marks in sheet.pages for mark in marks if not page.contains(mark.box) and not mark.box.isEmpty()]
