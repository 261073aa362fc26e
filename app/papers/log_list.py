"""The rig's log as a list: trial lifts, picks, readings, inspections and repairs."""

from __future__ import annotations

from app.papers.layout import Column, Sheet
from app.papers.page_marks import SMALL
from app.papers.shared_parts import add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import TITLES
from engine.schema.model import LogEntry

TITLE = TITLES["log"]
BLANK_LINES = 14
"""Lines left to write in by hand."""

COLUMNS = (
    Column("date", 1.0),
    Column("what", 0.95),
    Column("pose", 1.3),
    Column("load", 0.75, "right"),
    Column("rear", 0.8, "right"),
    Column("sag", 0.8, "right"),
    Column("words", 3.2),
    Column("by", 1.0),
    Column("next due", 0.9),
)


def build(subject: Subject, page: str) -> Sheet:
    """Every entry in the order it was made, then lines to write on."""
    sheet = sheet_for(TITLE, subject, page)
    if not subject.job.rig.serial.strip():
        sheet.text("Which rig? Its serial number is not entered.", bold=True)
    entries = subject.job.log
    sheet.text(f"{len(entries)} entries in the rig file." if entries else "No entry in the rig file yet.", SMALL)
    due = [entry for entry in entries if entry.next_due.strip()]
    if due:
        sheet.text(f"Next due: {due[-1].next_due} ({due[-1].kind} of {due[-1].date}).", bold=True)
    rows = [_cells(subject, entry) for entry in entries] + [[""] * len(COLUMNS)] * BLANK_LINES
    sheet.table(COLUMNS, rows, SMALL - 1, blank=24.0)
    add_unknowns(sheet, subject, size=SMALL - 2)
    return sheet


def _cells(subject: Subject, entry: LogEntry) -> list[str]:
    readings = ((entry.load_kg, "kg"), (entry.rear_kg, "kg"), (entry.sag_m, "length"))
    shown = ["" if value is None else subject.show(value, kind) for value, kind in readings]
    return [entry.date, entry.kind, entry.pose, *shown, entry.words, entry.by, entry.next_due]
