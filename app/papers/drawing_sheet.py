"""Drawing to scale: side view, plan or both of the pose shown, to be measured with a ruler, under state and load table.

The same page carries a picture that has no scale, such as the load chart (`framed`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.papers import rounding
from app.papers.layout import Column, Sheet
from app.papers.page_marks import INK, MM, RULE, SMALL, frame, rule
from app.papers.pictures import Picture, PlanOnPaper, SideOnPaper
from app.papers.shared_parts import add_unknowns, sheet_for
from app.papers.subject import Subject
from app.papers.titles import BIG_PAGES, TITLES, VIEWS
from engine.base.errors import RigFileError
from engine.base.formatting import M_PER_FT, System

TITLE = TITLES["drawing"]

SCALES: dict[System, tuple[int, ...]] = {
    "metric": (5, 10, 20, 25, 50, 100, 200),
    "us": (4, 8, 12, 16, 24, 32, 48, 64, 96, 192),
}
"""Standard scales, 1 to so much, the largest first."""

INCHES_TO_A_FOOT = {
    4: "3 in",
    8: "1-1/2 in",
    12: "1 in",
    16: "3/4 in",
    24: "1/2 in",
    32: "3/8 in",
    48: "1/4 in",
    64: "3/16 in",
    96: "1/8 in",
    192: "1/16 in",
}

BARS_M: dict[System, tuple[float, ...]] = {
    "metric": (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1),
    "us": (40.0 * M_PER_FT, 20.0 * M_PER_FT, 10.0 * M_PER_FT, 5.0 * M_PER_FT, 2.0 * M_PER_FT, M_PER_FT),
}
"""Lengths that the bar to check a print with may stand for."""

LONGEST_BAR, BAR_ROOM = 110.0 * MM, 40.0
GAP = 6.0
CAPTION = 18.0
"""Room of the words under a picture."""

AS_DRAWN = "Drawn as set, without sag."


class Laid(NamedTuple):
    """Views at one scale, and the paper they take."""

    pictures: tuple[tuple[str, Picture], ...]
    scale: int

    @property
    def width(self) -> float:
        return max(picture.width for _, picture in self.pictures)

    @property
    def height(self) -> float:
        return sum(picture.height + CAPTION for _, picture in self.pictures)


class Views:
    """Side view, plan or both of one pose, at any scale; only what was laid out last is sound."""

    def __init__(self, subject: Subject, views: str) -> None:
        shown = subject.job, subject.pose, subject.verdict
        makers = {"side": SideOnPaper, "plan": PlanOnPaper}
        self._views = [(VIEWS[name], maker(*shown)) for name, maker in makers.items() if views in (name, "both")]

    def at(self, scale: int) -> Laid:
        """The views at a scale, over each other on one x."""
        pictures = [(name, view.at(scale)) for name, view in self._views]
        left = min(picture.source.left() for _, picture in pictures)
        right = max(picture.source.right() for _, picture in pictures)
        for _, picture in pictures:
            picture.source.setLeft(left)
            picture.source.setRight(right)
        return Laid(tuple(pictures), scale)


def build(subject: Subject, page: str) -> Sheet:
    """Both views at the largest standard scale that fits the page; on the next page what is not known."""
    sheet = drawing(subject, "both", page)
    sheet.new_page()
    add_unknowns(sheet, subject)
    return sheet


def drawing(subject: Subject, views: str, page: str, scale: int | None = None, file: str = "") -> Sheet:
    """One page with a drawing that can be measured.

    Parameters
    ----------
    subject : Subject
    views : {"side", "plan", "both"}
    page : str
        One of `BIG_PAGES`; it lies or stands as the drawing wants.
    scale : int, optional
        1 to so much; by default the largest standard scale that fits.
    file : str, optional
        Name of the rig's file.

    Raises
    ------
    RigFileError
        When the drawing does not fit the page at that scale.
    """
    blanks = [_blank(subject, page, file, landscape=landscape) for landscape in (True, False)]
    view = Views(subject, views)
    for candidate in SCALES[subject.units] if scale is None else (scale,):
        laid = view.at(candidate)
        for sheet in blanks:
            if _fits(sheet, laid):
                _put(sheet, subject, laid)
                return sheet
    smallest = scale or SCALES[subject.units][-1]
    fitting = scales_that_fit(subject, views, page)
    wanted = f"at most {scale_words(fitting[0], subject.units)}" if fitting else "a larger page"
    raise RigFileError(f"Drawing on {BIG_PAGES[page]}", wanted, scale_words(smallest, subject.units))


def scales_that_fit(subject: Subject, views: str, page: str) -> tuple[int, ...]:
    """Standard scales at which the views fit a page, the largest first."""
    blanks = [_blank(subject, page, "", landscape=landscape) for landscape in (True, False)]
    view = Views(subject, views)
    laid = [view.at(scale) for scale in SCALES[subject.units]]
    return tuple(one.scale for one in laid if any(_fits(sheet, one) for sheet in blanks))


def scale_words(scale: int, units: System) -> str:
    """A scale as it is said: 1:25, or inches to a foot."""
    if units == "us" and scale in INCHES_TO_A_FOOT:
        return f"{INCHES_TO_A_FOOT[scale]} = 1 ft (1:{scale})"
    return f"1:{scale}"


def framed(
    subject: Subject, words: str, page: str, shape: float, paint: Callable[[QPainter, QRectF], None], file: str = ""
) -> Sheet:
    """One page with a picture that has no scale, as large as it goes.

    ``shape`` is its width over its height; ``paint`` paints it into a rectangle of the page.
    """
    sheet = _blank(subject, page, file, landscape=shape > 1.0, title=words)
    width = min(sheet.column, (sheet.room - GAP) * shape)
    box = QRectF(sheet.left + (sheet.column - width) / 2.0, sheet.y, width, width / shape)
    sheet.picture(box, words, lambda painter: paint(painter, box))
    sheet.y += box.height()
    return sheet


def _blank(subject: Subject, page: str, file: str, *, landscape: bool, title: str = TITLE) -> Sheet:
    """A page with all but the picture: state, what is allowed, load table, pose and file."""
    sheet = sheet_for(title, subject, page, landscape=landscape)
    state = f"THIS POSE: {subject.verdict.state_words}. {subject.permitted_words()}."
    sheet.panes(
        (1.5, 1.0),
        (lambda: sheet.boxed_sentence(state, SMALL + 2), lambda: _add_load_table(sheet, subject)),
        20.0 * MM,
    )
    sheet.text(f"Pose: {subject.pose.name}. File: {file or 'not saved'}. {AS_DRAWN}", SMALL)
    return sheet


def _add_load_table(sheet: Sheet, subject: Subject) -> None:
    """Load, rigging and hook load: now, and at most in the worst case."""
    figures = subject.figures
    now = ["hook empty", "", ""]
    if figures.hook_load_kg:
        now = [subject.figure(name) for name in ("load_kg", "rigging_kg", "hook_load_kg")]
    most = ["none given", "", ""]
    if figures.allowed_load_kg:
        names = ("allowed_load_kg", "allowed_rigging_kg", "allowed_hook_load_kg")
        most = [subject.figure(name) for name in names]
    elif figures.allowed_load_kg is not None:
        most = ["nothing", "", ""]
    columns = (
        Column("", 0.8),
        Column("load", 1.2, "right"),
        Column("+ rigging", 1.0, "right"),
        Column("= hook load", 1.2, "right"),
    )
    sheet.table(columns, [["now", *now], ["most", *most]], strong=(0, 1))


def _fits(sheet: Sheet, laid: Laid) -> bool:
    return laid.width <= sheet.column and laid.height + BAR_ROOM <= sheet.room


def _put(sheet: Sheet, subject: Subject, laid: Laid) -> None:
    """The views in the middle of the column, each with its scale, and the bar to check the print with."""
    words = scale_words(laid.scale, subject.units)
    for name, picture in laid.pictures:
        box = sheet.reserve(picture.height)
        sheet.picture(box, name, picture.painter_at(box))
        sheet.text(f"{name}, scale {words} at full paper size", SMALL - 1)
    _add_bar(sheet, subject, laid.scale)


def _add_bar(sheet: Sheet, subject: Subject, scale: int) -> None:
    """A bar of a round length at the drawing's scale: whether a printer kept to it shows with a ruler."""
    length_m = next(
        (length for length in BARS_M[subject.units] if length * 1000.0 * MM / scale <= LONGEST_BAR),
        BARS_M[subject.units][-1],
    )
    width, top, ticks = length_m * 1000.0 * MM / scale, sheet.y + 3.0, 4
    for at in range(0, ticks, 2):
        box = QRectF(sheet.left + width * at / ticks, top, width / ticks, 7.0)
        sheet.add(frame(box, RULE, INK))
    sheet.add(frame(QRectF(sheet.left, top, width, 7.0), RULE))
    for x in (sheet.left, sheet.left + width):
        sheet.add(rule(x, top - 3.0, x, top + 12.0, RULE))
    sheet.y = top + 14.0
    length, on_paper = (
        rounding.bar_length(length_m, subject.units),
        rounding.paper_length(length_m / scale, subject.units),
    )
    sheet.text(
        f"This bar stands for {length} and is {on_paper} long on paper. If a ruler says otherwise, the printer changed "
        f"the scale: measure nothing on this print.",
        SMALL - 1,
    )
