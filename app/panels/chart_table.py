"""The load chart as a table: a row for each pin hole, a column for each span of hook heights that allows the same."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple, cast

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QFont, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.documents.document import Document
from app.look import hints
from app.look.theme import Palette
from engine.base.formatting import System, show
from engine.planning.load_chart import Chart
from engine.shop import pose_edits

LEAST_ROWS = 10
"""Lines of text the table keeps room for when the panel must scroll."""

LEAST_COLUMN_EMS = 5.0
"""Least width of a column, in heights of a line."""

LETTERS = "PQRSTUVWXYZFGHJKLMN"
"""Of the parts that give first; the curves over the table are named from A on."""

CORNER = "hole, reach"
"""What the heads of the rows say, over them."""

CORNER_GAP_PX = 4

IN_THE_WAY = "\N{EM DASH}"
CANNOT_BE = "\N{MULTIPLICATION SIGN}"

GROUNDS = {
    "light": ("#fdfbf4", "#e6edf0", "#cfdde7", "#b4cbda", "#98b7cb"),
    "dark": ("#20282d", "#263845", "#2c4a5f", "#33597a", "#3a678c"),
}
"""Grounds of a cell by how much more than the load it allows: less, up to `RATIOS`, and more than the last."""

RATIOS = (1.0, 1.1, 1.5, 2.0)


class Cell(NamedTuple):
    """What one cell of the chart says; equal cells look alike."""

    text: str
    governing: str


class Spot(NamedTuple):
    """A cell of the chart, by its indices there."""

    arm_set: int
    hole: int
    height: int


def stand_at(document: Document, chart: Chart, spot: Spot) -> None:
    """Stand where a place of a chart stands, as one undo step; nothing where the pose cannot be.

    Raises
    ------
    TailweightError
        When the pose is refused.
    """
    if math.isnan(chart.allowed_kg[spot]):
        return
    pose = pose_edits.typed_pose(
        document.job,
        document.pose,
        hole=chart.holes[spot.hole],
        free_out_m=None,
        lift_m=float(chart.lift_m[spot]),
        arms=chart.arm_sets[spot.arm_set].arms,
    )
    document.set_pose(pose, "Stand as in the chart")


def nearest_height(chart: Chart, here_m: float, among: Sequence[int] | None = None) -> int:
    """Index of the chart's hook height that is nearest to where the hook is, among all or some of them."""
    indices = range(len(chart.hook_heights_m)) if among is None else among
    return min(indices, key=lambda at: abs(chart.hook_heights_m[at] - here_m))


class ChartTable(QTableWidget):
    """Allowed loads of one arm pose; a cell that is clicked or entered is chosen."""

    chosen = Signal(object)
    """The `Spot` of a cell."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        hints.name(self, "load chart: allowed load at every pin hole and hook height")
        self.setAccessibleName("load chart")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setMinimumHeight(LEAST_ROWS * self.fontMetrics().height())
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self._corner = QLabel(CORNER)
        in_corner = QHBoxLayout(cast(QAbstractButton, self.findChild(QAbstractButton)))
        in_corner.setContentsMargins(CORNER_GAP_PX, 0, CORNER_GAP_PX, 0)
        in_corner.addWidget(self._corner)
        self.cellActivated.connect(self._choose)
        self.cellClicked.connect(self._choose)
        self._chart: Chart | None = None
        self._arm_set, self._here_m = 0, math.nan
        self._spans: tuple[range, ...] = ()
        self._here_column = 0

    @property
    def spans(self) -> tuple[range, ...]:
        """Which hook heights of the chart each column stands for."""
        return self._spans

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._take_widths()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.setMinimumHeight(LEAST_ROWS * self.fontMetrics().height())
            self._take_widths()

    def _take_widths(self) -> None:
        """Columns as wide as fills the room with whole ones: none is cut, and that of the hook's height is seen."""
        self.verticalHeader().setMinimumWidth(self._corner.sizeHint().width() + 2 * CORNER_GAP_PX)
        columns, room_px = self.columnCount(), self.viewport().width()
        if not columns:
            return
        head = self.horizontalHeader()
        asked = [max(head.sectionSizeHint(at), self.sizeHintForColumn(at)) for at in range(columns)]
        least_px = max(*asked, int(LEAST_COLUMN_EMS * self.fontMetrics().height()))
        seen = max(1, min(columns, room_px // least_px))
        for at in range(columns):
            head.resizeSection(at, max(least_px, room_px // seen))
        self.updateGeometries()
        self.scrollTo(self.model().index(0, self._here_column))
        head.setOffsetToSectionPosition(self.horizontalScrollBar().value())  # the bar may stand where it stood before
        self.viewport().update()

    def show_nothing(self) -> None:
        """No chart, and no cell."""
        self._chart = None
        self.setRowCount(0)

    def show_chart(
        self, chart: Chart, arm_set: int, load_kg: float, here_m: float, system: System, colours: Palette | None
    ) -> str:
        """Fill in one arm pose of a chart; returns the key to its letters.

        Parameters
        ----------
        chart : Chart
        arm_set : int
            Index of the arm pose.
        load_kg : float
            What is to be lifted: cells that allow less are hatched.
        here_m : float
            Hook height now: of the heights a column stands for, the nearest to it is taken.
        system : System
        colours : Palette or None
        """
        self._chart, self._arm_set, self._here_m = chart, arm_set, here_m
        cells = [
            [_cell(chart, Spot(arm_set, hole, height), system) for hole in range(len(chart.holes))]
            for height in range(len(chart.hook_heights_m))
        ]
        self._spans = tuple(_alike(cells))
        letters = _letters(cells)
        self.setRowCount(len(chart.holes))
        self.setColumnCount(len(self._spans))
        self.setHorizontalHeaderLabels([_heights(chart, span, system) for span in self._spans])
        near = nearest_height(chart, here_m)
        spots = [Spot(arm_set, hole, near) for hole in range(len(chart.holes))]
        for row, spot in enumerate(spots):
            self.setVerticalHeaderItem(row, _hole(chart, spot, system))
        for column, span in enumerate(self._spans):
            for hole in range(len(chart.holes)):
                spot = Spot(arm_set, hole, span[0])
                cell = cells[span[0]][hole]
                item = QTableWidgetItem(" ".join(filter(None, (cell.text, letters.get(cell.governing, "")))))
                item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
                item.setToolTip(_tooltip(chart, spot, load_kg, system))
                _paint(item, float(chart.allowed_kg[spot]), load_kg, chart.in_the_way[spot], colours)
                self.setItem(hole, column, item)
        self._here_column = next(at for at, span in enumerate(self._spans) if near in span)
        self._take_widths()
        key = "; ".join(f"{letter} {part}" for part, letter in letters.items())
        return f"Gives first: {key}." if key else ""

    def _choose(self, row: int, column: int) -> None:
        chart = self._chart
        if chart is None or math.isnan(chart.allowed_kg[self._arm_set, row, self._spans[column][0]]):
            return
        self.chosen.emit(Spot(self._arm_set, row, nearest_height(chart, self._here_m, self._spans[column])))


def _cell(chart: Chart, spot: Spot, system: System) -> Cell:
    allowed_kg = float(chart.allowed_kg[spot])
    if math.isnan(allowed_kg):
        return Cell(CANNOT_BE, "")
    part = chart.names[int(chart.governing[spot])].partition(":")[0]
    if chart.in_the_way[spot]:
        return Cell(IN_THE_WAY, part)
    number = show(allowed_kg, "kg_down", system)
    return Cell(number if chart.proven[spot.arm_set] else f"{number} ?", part)


def _alike(cells: list[list[Cell]]) -> Iterator[range]:
    """Spans of neighbouring hook heights whose cells are all equal."""
    start = 0
    for height in range(1, len(cells) + 1):
        if height == len(cells) or cells[height] != cells[start]:
            yield range(start, height)
            start = height


def _letters(cells: list[list[Cell]]) -> dict[str, str]:
    """A letter for each part that gives first in some cell, the most frequent first; none for those past the last."""
    parts = [cell.governing for column in cells for cell in column if cell.governing]
    order = sorted(dict.fromkeys(parts), key=lambda part: -parts.count(part))
    return {part: letter for letter, part in zip(LETTERS, order, strict=False)}


def _heights(chart: Chart, span: range, system: System) -> str:
    """Head of a column: a line for the word, so that narrow columns keep the figures whole."""
    least, most = chart.hook_heights_m[span[0]], chart.hook_heights_m[span[-1]]
    if len(span) == 1:
        return f"hook\n{show(least, 'm', system)}"
    low, high = show(least, "m", system), show(most, "m", system)
    return f"hook\n{low.removesuffix(' m') if high.endswith(' m') else low}\N{EN DASH}{high}"


def _hole(chart: Chart, spot: Spot, system: System) -> QTableWidgetItem:
    """Head of a row: hole and reach, in full where it is read aloud or pointed at."""
    hole, reach = chart.holes[spot.hole], show(float(chart.reach_m[spot]), "m", system)
    item, words = QTableWidgetItem(f"{hole}, {reach}"), f"hole {hole}, reach {reach} from the front axle"
    item.setToolTip(words)
    item.setData(Qt.ItemDataRole.AccessibleTextRole, words)
    return item


def _tooltip(chart: Chart, spot: Spot, load_kg: float, system: System) -> str:
    allowed_kg = float(chart.allowed_kg[spot])
    out = f"boom out {show(chart.out_m[spot.hole], 'length', system)}"
    if math.isnan(allowed_kg):
        return f"This pose cannot be; {out}"
    governing = chart.names[int(chart.governing[spot])]
    if chart.in_the_way[spot]:
        return f"Something is in the way: {governing}; {out}"
    words = f"{show(allowed_kg, 'kg_down', system)}, gives first: {governing}; {out}"
    if not chart.proven[spot.arm_set]:
        words = f"Not proven. For the parts entered: {words}"
    if allowed_kg < load_kg:
        words += f"; less than the load of {show(load_kg, 'kg_up', system)}"
    return words


def _paint(
    item: QTableWidgetItem, allowed_kg: float, load_kg: float, in_the_way: bool, colours: Palette | None
) -> None:
    """The ground of a cell: hatched where it allows less than the load, the deeper the more it allows."""
    if colours is None or math.isnan(allowed_kg):
        return
    grounds = GROUNDS[colours.name]
    item.setForeground(QColor(colours.ink))
    if in_the_way or allowed_kg < load_kg:
        item.setBackground(QBrush(QColor(colours.line), Qt.BrushStyle.BDiagPattern))
        return
    step = sum(allowed_kg >= ratio * load_kg for ratio in RATIOS)
    item.setBackground(QColor(grounds[step]))
    font = QFont(item.font())
    font.setBold(True)
    item.setFont(font)
