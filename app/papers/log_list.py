"""The rig's log as a list: trial lifts, picks, readings, inspections and repairs."""

from __future__ import annotations

from app.papers.layout import SMALL, Column, Sheet
from app.papers.paper import Matter, sheet_for, unknown
from app.papers.titles import TITLES
from engine.schema.model import LogEntry

TITLE = TITLES["log"]
BLANK_LINES = 14
"""Lines left to write in by hand."""


def build(about: Matter, page: str) -> Sheet:
    """Every entry in the order it was made, then lines to write on."""
    sheet = sheet_for(TITLE, about, page)
    if not about.job.rig.serial.strip():
        sheet.text("Which rig? Its serial number is not entered.", bold=True)
    entries = about.job.log
    sheet.text(f"{len(entries)} entries in the rig file." if entries else "No entry in the rig file yet.", SMALL)
    due = [entry for entry in entries if entry.next_due.strip()]
    if due:
        sheet.text(f"Next due: {due[-1].next_due} ({due[-1].kind} of {due[-1].date}).", bold=True)
    columns = (
        Column("date", 1.0), Column("what", 0.95), Column("pose", 1.3), Column("load", 0.75, "right"), Column("rear", 0.8, "right"), Column("sag", 0.8, "right"),
        Column("words", 3.2), Column("by", 1.0), Column("next due", 0.9),
    )  # fmt: skip
    sheet.table(
        columns, [_row(about, entry) for entry in entries] + [[""] * len(columns)] * BLANK_LINES, SMALL - 1, blank=24.0
    )
    unknown(sheet, about, size=SMALL - 2)
    return sheet


def _row(about: Matter, entry: LogEntry) -> list[str]:
    readings = ((entry.load_kg, "kg"), (entry.rear_kg, "kg"), (entry.sag_m, "length"))
    shown = ["" if value is None else about.show(value, kind) for value, kind in readings]
    return [entry.date, entry.kind, entry.pose, *shown, entry.words, entry.by, entry.next_due]
