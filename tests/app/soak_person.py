"""What a person at the window does in an hour: each act by mouse and keys, chosen and shaped by a seed."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

from hand import Hand, show_tab, type_into
from PySide6.QtCore import QDeadlineTimer, QEvent, QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QCheckBox, QPushButton, QWidget
from soak_secretary import Secretary, escaping, filling, naming, picking, pressing, printing

from app.canvas.marks import Tag
from app.canvas.view import DrawingView
from app.documents.files import SAMPLES, sample_rig
from app.panels.fields import ChoiceField, QuantityField, TextField
from app.panels.forms import Form
from app.papers.output import PAPERS
from app.shell.panel_registry import (
    ARMS,
    BOOM,
    CHART,
    FLOORS,
    FORKS,
    GO_TO_POINT,
    JIB_MAST,
    LIMITS,
    LOAD,
    MOVE,
    POSE,
    RULES,
    SADDLES,
    SLEEVES,
    SURROUNDINGS,
    TRUCK,
    UPRIGHT,
)
from app.shell.window import Window
from app.shell.windows import Windows
from engine.schema import rig_file
from engine.shop import edits

NO, CTRL, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
LEFT = Qt.MouseButton.LeftButton
MOST_WINDOWS = 3
ANSWER_MS = 150_000
"""A move or a chart takes some seconds, on a busy machine half a minute; later than this it is not coming."""

IN_THE_MIDDLE = (
    (Qt.Key.Key_Escape, NO),
    (Qt.Key.Key_Z, CTRL),
    (Qt.Key.Key_Z, CTRL | SHIFT),
    (Qt.Key.Key_PageDown, CTRL),
    (Qt.Key.Key_Left, CTRL),
    (Qt.Key.Key_G, CTRL),
    (Qt.Key.Key_S, CTRL),
    (Qt.Key.Key_F3, NO),
    (Qt.Key.Key_0, CTRL),
)
"""Keys pressed while a drag lasts; Escape more often than each of the others."""

TYPED = (
    "0.4",
    "1.1 m",
    "4 ft 1-1/4 in",
    "62 in",
    "850 mm",
    "-35 deg",
    "2.5",
    "12 kg",
    "9 m",
    "-1",
    "0",
    "",
    "nan",
    "1e400",
    "two",
    "5 %",
    "7",
)


FORMS = (
    *(LOAD, FLOORS, RULES, TRUCK, UPRIGHT, FORKS),
    *(SLEEVES, JIB_MAST, SADDLES, BOOM, ARMS, SURROUNDINGS),
)


class Person:
    """Somebody at the program; ``rng`` is set anew for every step."""

    def __init__(self, windows: Windows, secretary: Secretary, folder: Path) -> None:
        self._windows, self._secretary, self._folder = windows, secretary, folder
        self.rng = random.Random(0)
        self.window: Window = windows.all[0]
        self._files = 0
        self.acts: dict[str, tuple[int, Callable[[], None]]] = {
            "drag a handle": (34, self.drag),
            "type a pose": (10, self.type_pose),
            "step a field by keys": (5, self.step_field),
            "tick a box": (3, self.tick),
            "choose a pose": (7, self.choose_pose),
            "add or remove a pose": (5, self.change_poses),
            "undo and redo": (10, self.undo_redo),
            "look at a panel": (8, self.look_at_panel),
            "type into a form": (5, self.type_into_form),
            "press a form's button": (3, self.press_form_button),
            "type on the drawing": (2, self.type_on_drawing),
            "pan and zoom": (6, self.pan_zoom),
            "change units": (2, self.change_units),
            "change the look": (1, self.change_look),
            "change the text size": (1, self.change_text_size),
            "helper view": (2, self.helper_view),
            "hold a ghost": (3, self.ghost),
            "stay-clear outline": (1, self.outline),
            "lengths of parts": (2, self.lengths),
            "why not": (2, self.why),
            "open a sample": (3, self.open_sample),
            "open a file": (2, self.open_file),
            "open a bad file": (2, self.open_bad_file),
            "save": (3, self.save),
            "save as": (2, self.save_as),
            "change the file underneath": (1, self.change_underneath),
            "new window": (1, self.new_window),
            "close a window": (2, self.close_window),
            "new rig": (1, self.new_rig),
            "write a paper": (3, self.write_paper),
            "print a paper": (1, self.print_paper),
            "approval or log": (1, self.record),
            "chart": (1, self.chart),
            "reach map": (1, self.reach_map),
            "move": (1, self.move),
            "hook to a point": (1, self.aim),
            "keys sheet": (1, self.keys_sheet),
        }

    # -------------------------------------------------------- hands

    def key(self, key: Qt.Key, modifiers: Qt.KeyboardModifier = NO, on: QWidget | None = None) -> None:
        QTest.keyClick(on or self.window, key, modifiers)
        QApplication.processEvents()

    def click(self, widget: QWidget, at: QPoint | None = None) -> None:
        QTest.mouseClick(widget, LEFT, NO, widget.rect().center() if at is None else at)
        QApplication.processEvents()

    def choose(self, *names: str) -> None:
        """Open a menu with the mouse and choose a command in it, through submenus."""
        bar = self.window.menuBar()
        action = _action(bar.actions(), names[0])
        self.click(bar, bar.actionGeometry(action).center())
        menu = action.menu()
        for name in names[1:]:
            assert menu.isVisible(), f"the menu of {name!r} did not open"
            action = _action(menu.actions(), name)
            assert action.isEnabled(), f"{name!r} cannot be chosen"
            inner = action.menu()
            if inner is None:
                self.click(menu, menu.actionGeometry(action).center())
                return
            menu.setActiveAction(action)
            self.key(Qt.Key.Key_Right, on=menu)
            menu = inner

    def wait(self, done: Callable[[], bool], what: str) -> None:
        """Let the program run until something has come."""
        limit = QDeadlineTimer(ANSWER_MS)
        while not done():
            assert not limit.hasExpired(), f"{what} never came"
            QTest.qWait(5)

    def _press_named(self, place: QWidget, name: str) -> None:
        self.click(next(button for button in place.findChildren(QAbstractButton) if button.accessibleName() == name))

    @property
    def _view(self) -> DrawingView:
        return self.rng.choice((self.window.views.side_view, self.window.views.side_view, self.window.views.plan_view))

    # -------------------------------------------------------- the drawing

    def drag(self) -> None:
        """Pull a handle about, often further than it goes, sometimes with Ctrl, sometimes not to the end."""
        view, rng = self._view, self.rng
        names = [name for name, handle in view.handles.items() if handle.isVisible()]
        hand, name = Hand(view), rng.choice(names)
        at = hand.handle_spot(name)
        far = rng.choice((15.0, 60.0, 150.0, 900.0))
        interrupted = rng.random() < 0.3
        hand.press(at)
        moves = rng.randrange(3, 10)
        stopped_at = rng.randrange(moves)
        for number in range(moves):
            at += QPointF(rng.uniform(-far, far), rng.uniform(-far, far)) / 3.0
            hand.move(at, CTRL if rng.random() < 0.2 else NO)
            if interrupted and number == stopped_at:
                self._interrupt(view)
        hand.release()
        QApplication.processEvents()

    def _interrupt(self, view: DrawingView) -> None:
        """Press a key, or turn the wheel, while the button is held."""
        self._secretary.prepare(escaping)  # saving may ask for a file
        if self.rng.random() < 0.15:
            self._wheel(view)
            return
        key, modifiers = self.rng.choice((*IN_THE_MIDDLE, *IN_THE_MIDDLE[:1] * 6))
        self.key(key, modifiers, view)

    def _wheel(self, view: DrawingView) -> None:
        at = QPointF(self.rng.uniform(0, view.width()), self.rng.uniform(0, view.height()))
        turn = QPoint(0, 120 * self.rng.choice((-3, -1, 1, 2)))
        place = QPointF(view.viewport().mapToGlobal(at.toPoint()))
        event = QWheelEvent(at, place, QPoint(), turn, Qt.MouseButton.NoButton, NO, Qt.ScrollPhase.NoScrollPhase, False)
        QApplication.sendEvent(view.viewport(), event)
        QApplication.processEvents()

    def pan_zoom(self) -> None:
        view, rng = self._view, self.rng
        for _ in range(rng.randrange(1, 6)):
            self._wheel(view)
        hand, at = Hand(view), QPointF(8.0, 8.0)
        hand.press(at)
        for _ in range(4):
            at += QPointF(rng.uniform(0.0, 60.0), rng.uniform(0.0, 40.0))
            hand.move(at)
        hand.release()
        for key in rng.choices(
            (Qt.Key.Key_Plus, Qt.Key.Key_Minus, Qt.Key.Key_Up, Qt.Key.Key_Left, Qt.Key.Key_Right), k=4
        ):
            self.key(key, on=view)
        self.key(Qt.Key.Key_F, on=view)

    def type_on_drawing(self) -> None:
        """Double-click a figure and type over it; a wrong one is left by Escape."""
        view, rng = self.window.views.side_view, self.rng
        tags = [item for item in view.scene().items() if isinstance(item, Tag) and item.entry and item.isVisible()]
        if not tags:
            return
        tags.sort(key=lambda tag: (tag.entry, tag.text))
        tag, hand = rng.choice(tags), Hand(view)
        at = QPointF(view.mapFromScene(tag.screen_rect(view.px_per_mm).center() / view.px_per_mm))
        hand.press(at)
        hand.release(at)
        hand.send(QEvent.Type.MouseButtonDblClick, at, LEFT, LEFT)
        hand.release(at)
        QApplication.processEvents()
        field = self.window.commands.figure_field.field
        if field is None:
            return
        type_into(field, rng.choice(TYPED))
        QApplication.processEvents()
        if self.window.commands.figure_field.field is not None:
            self.key(Qt.Key.Key_Escape, on=self.window.commands.figure_field.field)
            if self.window.commands.figure_field.field is not None:  # the first one forgot what was typed
                self.key(Qt.Key.Key_Escape, on=self.window.commands.figure_field.field)
        assert self.window.commands.figure_field.field is None, "the field over the drawing stays"

    def lengths(self) -> None:
        self.key(Qt.Key.Key_L, CTRL)
        for _ in range(2):
            self.drag()
        self.key(Qt.Key.Key_L, CTRL)

    def ghost(self) -> None:
        self.key(Qt.Key.Key_G, CTRL if self.rng.random() < 0.6 else CTRL | SHIFT)

    def outline(self) -> None:
        self.key(Qt.Key.Key_L, CTRL | SHIFT)

    # -------------------------------------------------------- poses

    def type_pose(self) -> None:
        show_tab(self.window, "Stance")
        fields = {name: field for name, field in self.window.panels[POSE].fields.items() if field.isEnabled()}
        name = self.rng.choice(list(fields))
        type_into(fields[name], self.rng.choice(TYPED))
        if fields[name].wrong:
            self.key(Qt.Key.Key_Escape, on=fields[name])

    def step_field(self) -> None:
        show_tab(self.window, "Stance")
        field = self.rng.choice([field for field in self.window.panels[POSE].fields.values() if field.isEnabled()])
        field.setFocus()
        for _ in range(self.rng.randrange(1, 8)):
            self.key(
                self.rng.choice((Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)), on=field
            )

    def tick(self) -> None:
        show_tab(self.window, "Stance")
        box = self.rng.choice(self.window.panels[POSE].findChildren(QCheckBox))
        self.click(box, QPoint(8, box.height() // 2))

    def choose_pose(self) -> None:
        if self.rng.random() < 0.5:
            for _ in range(self.rng.randrange(1, 5)):
                self.key(self.rng.choice((Qt.Key.Key_PageDown, Qt.Key.Key_PageUp)), CTRL)
            return
        show_tab(self.window, "Stance")
        box = next(
            widget
            for widget in self.window.panels[POSE].findChildren(QWidget)
            if widget.accessibleName() == "named pose"
        )
        box.setFocus()
        self.key(self.rng.choice((Qt.Key.Key_Down, Qt.Key.Key_Up)), on=box)

    def change_poses(self) -> None:
        rng, names = self.rng, [pose.name for pose in self.window.document.job.poses]
        show_tab(self.window, "Stance")
        name = rng.choice((f"pose {rng.randrange(1000)}", names[0], "", "   ", "x" * 200))
        what = rng.choice(("add", "add by key", "rename", "remove", "turn away"))
        self._secretary.prepare(escaping if what == "turn away" else naming(name))
        if what == "add by key":
            self.key(Qt.Key.Key_D, CTRL)
        elif what == "remove":
            self._press_named(self.window.panels[POSE], "remove this pose")
        else:
            self._press_named(
                self.window.panels[POSE], "rename this pose" if what == "rename" else "add a pose like this one"
            )

    def undo_redo(self) -> None:
        for _ in range(self.rng.randrange(1, 12)):
            self.key(Qt.Key.Key_Z, CTRL if self.rng.random() < 0.6 else CTRL | SHIFT)

    # -------------------------------------------------------- panels

    def look_at_panel(self) -> None:
        """Press a panel's name; the limits are clicked through."""
        buttons = [*self.window.stages.buttons, *(head for _, head in self.window.panels.heads)]
        self.click(self.rng.choice([button for button in buttons if not button.visibleRegion().isEmpty()]))
        if self.window.panels.shown is LIMITS:
            rows = self.window.panels[LIMITS]._list
            for _ in range(3):
                self.key(self.rng.choice((Qt.Key.Key_Down, Qt.Key.Key_Up)), on=rows)

    def _form(self) -> Form:
        tab = self.rng.choice(
            (LOAD, FLOORS, RULES, TRUCK, UPRIGHT, FORKS, SLEEVES, JIB_MAST, SADDLES, BOOM, ARMS, SURROUNDINGS)
        )
        panel = self.window.panels.bring(tab)
        return panel.form if tab is SURROUNDINGS else panel

    def type_into_form(self) -> None:
        form, rng = self._form(), self.rng
        paths = [
            path
            for path, field in form.fields.items()
            if isinstance(field, QuantityField | TextField | ChoiceField | QCheckBox)
        ]
        if not paths:
            return
        path = rng.choice(paths)
        field = form.fields[path]
        if isinstance(field, QuantityField):
            near = "" if field.value is None else field.text()
            type_into(field, rng.choice((near, *TYPED)))
            if path in form.fields and form.fields[path].wrong:
                self.key(Qt.Key.Key_Escape, on=form.fields[path])
        elif isinstance(field, TextField):
            type_into(field, rng.choice(("yard", "north door", "", "ä & <b>", "weld 4")))
        elif isinstance(field, ChoiceField):
            field.setFocus()
            self.key(rng.choice((Qt.Key.Key_Down, Qt.Key.Key_Up)), on=field)
        else:
            self.click(field, QPoint(8, field.height() // 2))

    def press_form_button(self) -> None:
        """Rows added and taken away, entries said to be not known and entered again."""
        form = self._form()
        buttons = [button for button in form.findChildren(QPushButton) if button.isEnabled()]
        if not buttons:
            return
        plate = {"Rated load": "2500 kg", "Load centre from fork face": "500 mm", "Up to fork height": "3.3 m"}
        self._secretary.prepare(filling(plate))
        self.click(self.rng.choice(buttons))

    def change_units(self) -> None:
        self.choose("View", self.rng.choice(("Metric", "US (feet, inches, pounds)")))

    def change_look(self) -> None:
        self.choose("View", self.rng.choice(("Light", "Dark", "Follow the system")))

    def change_text_size(self) -> None:
        self.choose("View", f"Text {self.rng.choice((100, 125, 150, 200))} %")

    def why(self) -> None:
        self.key(Qt.Key.Key_F3)
        reason = self.window.commands.explanations.reason.background
        self.wait(lambda: not reason.busy, "a remedy")

    def helper_view(self) -> None:
        self.key(Qt.Key.Key_F11)
        helper = self.window.commands.explanations.helper
        for _ in range(self.rng.randrange(1, 7)):
            self.key(self.rng.choice((Qt.Key.Key_Right, Qt.Key.Key_Left, Qt.Key.Key_Space)), on=helper)
        self.key(Qt.Key.Key_Escape, on=helper)
        assert self.window.commands.explanations.helper is None, "the helper view stays"
        self.window.activateWindow()

    def keys_sheet(self) -> None:
        self._secretary.prepare(escaping)
        self.key(Qt.Key.Key_K, CTRL)
        self._let_answer()

    def _let_answer(self) -> None:
        """Let a dialog that does not wait be answered."""
        self.wait(lambda: QApplication.activeModalWidget() is None, "the end of a dialog")
        QApplication.processEvents()

    # -------------------------------------------------------- files and windows

    def _room(self) -> None:
        """Close a window when there are many already."""
        while len(self._windows.all) >= MOST_WINDOWS:
            self._close(self._windows.all[-1])
        self.to(self.window if self.window in self._windows.all else self._windows.all[-1])

    def to(self, window: Window) -> None:
        """Bring a window to the front."""
        self.window = window
        window.activateWindow()
        QApplication.processEvents()
        if not window.isActiveWindow():
            # The offscreen platform alone: after a dialog it may give the keyboard to a window only as it comes up.
            window.hide()
            window.show()
            window.activateWindow()
            self.wait(window.isActiveWindow, "the window to the front")

    def _close(self, window: Window) -> None:
        self.to(window)
        self._secretary.prepare(pressing("Don't save"))
        self.choose("File", "Close window")
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        assert window not in self._windows.all, "the window did not close"

    def close_all_but(self, home: Window) -> None:
        """Close every other window."""
        while (last := self._windows.all[-1]) is not home:
            self._close(last)
        self.to(home)

    def close_window(self) -> None:
        """Close the last window opened, or go to another one."""
        if len(self._windows.all) > 1:
            self._close(self._windows.all[-1])
        self.to(self.rng.choice(self._windows.all))

    def new_window(self) -> None:
        self._room()
        self.key(Qt.Key.Key_N, CTRL | SHIFT)
        self.to(self._windows.all[-1])

    def open_sample(self) -> None:
        self._room()
        self._secretary.prepare()
        self.choose("File", "Open a sample rig", self.rng.choice(list(SAMPLES.values())))
        self.to(self._windows.all[-1])

    def open_file(self) -> None:
        """Open a rig file by the dialog, by dropping it, or from the list of the last ones."""
        self._room()
        name = self.rng.choice(list(SAMPLES))
        path = self._folder / f"{name} {self.rng.randrange(4)}{rig_file.SUFFIX}"
        if not path.exists():
            rig_file.write(sample_rig(name), path)
        if self.rng.random() < 0.5:
            self._drop(path)
        else:
            self._secretary.prepare(picking(path))
            self.key(Qt.Key.Key_O, CTRL)
        holders = [window for window in self._windows.all if window.document.path == path]
        assert len(holders) == 1, f"{path.name} is open in {len(holders)} windows"
        self.to(holders[0])

    def _drop(self, path: Path) -> None:
        urls = QMimeData()
        urls.setUrls([QUrl.fromLocalFile(str(path))])
        action, middle = Qt.DropAction.CopyAction, self.window.rect().center()
        QApplication.sendEvent(self.window, QDragEnterEvent(middle, action, urls, LEFT, NO))
        QApplication.sendEvent(self.window, QDropEvent(QPointF(middle), action, urls, LEFT, NO))
        QApplication.processEvents()

    def open_bad_file(self) -> None:
        """A bad file is refused with its place, and what is open stays."""
        document, rng = self.window.document, self.rng
        before = (document.job, document.index, document.path, document.unsaved, document.undo_stack.count())
        good = rig_file.encode(document.job)
        cut = rng.randrange(1, len(good) - 4)
        bad = rng.choice(
            (b"", b"\x00" * 40, good[:cut], good.replace(b'"poses"', b'"pozes"'), b"[" * 5000, b'{"a": 1}')
        )
        path = self._folder / "bad.rig.json"
        path.write_bytes(bad)
        self._secretary.prepare(pressing(rng.choice(("OK", "Show where"))), escaping)
        self._drop(path)
        self._let_answer()
        assert any("was not opened" in said for said in self._secretary.seen), (
            f"a bad file was taken without a word: {bad[:40]!r}"
        )
        after = (document.job, document.index, document.path, document.unsaved, document.undo_stack.count())
        assert after == before, "a file that was refused changed what is open"

    def save(self) -> None:
        self._save((Qt.Key.Key_S, CTRL))

    def save_as(self) -> None:
        self._save((Qt.Key.Key_S, CTRL | SHIFT))

    def _save(self, keys: tuple[Qt.Key, Qt.KeyboardModifier]) -> None:
        """Save; where a file is asked for, a new name, an old one written over, or none."""
        self._files += 1
        held = {window.document.path for window in self._windows.all}
        old = [path for path in sorted(self._folder.glob("mine*")) if path not in held]
        path = self.rng.choice((None, self._folder / f"mine {self._files % 40}{rig_file.SUFFIX}", *old[:2]))
        self._secretary.prepare(*((picking(path), pressing("Yes")) if path else (escaping,)))
        document, asked = self.window.document, bool(keys[1] & SHIFT) or self.window.document.path is None
        self.key(*keys)
        self._let_answer()
        if path is not None or not asked:
            assert not document.unsaved, f"not saved: {self._secretary.seen}, {self.window.notice.text()!r}"

    def change_underneath(self) -> None:
        """Something else writes the open file, or takes it away; the window asks once and is answered."""
        document = self.window.document
        if document.path is None:
            return
        gone = self.rng.random() < 0.4
        if gone:
            document.path.unlink()
        else:
            rig_file.write(edits.set_value(document.job, "notes", f"elsewhere {self.rng.random()}"), document.path)
        words = self.rng.choice(("Try again", "Keep working") if gone else ("Load the changed file", "Keep mine"))
        self._secretary.prepare(pressing(words))
        self.wait(lambda: bool(self._secretary.seen), "the question about the changed file")
        self._let_answer()
        if words in ("Keep working", "Keep mine"):
            assert document.unsaved
            self._secretary.prepare(pressing("Write over it"))
            self.to(self.window)
            self.key(Qt.Key.Key_S, CTRL)
            assert not document.unsaved, f"not saved: {self._secretary.seen}"

    def new_rig(self) -> None:
        """Draw a whole rig from a few answers."""
        self._room()
        self._secretary.prepare(escaping) if self.rng.random() < 0.3 else self._secretary.prepare(
            filling(
                {
                    "How high is the hook": "3 m",
                    "How far from the fork face": "1.4 m",
                    "How heavy is the load": "180 kg",
                }
            )
        )
        self.key(Qt.Key.Key_N, CTRL)
        self._let_answer()
        self.to(self._windows.all[-1])

    # -------------------------------------------------------- papers

    def write_paper(self) -> None:
        kind = self.rng.choice(list(PAPERS))
        path = self._folder / f"{kind}.pdf"
        path.unlink(missing_ok=True)
        self._secretary.prepare(picking(path))
        self.choose("Papers", f"{PAPERS[kind].title}...")
        assert path.read_bytes().startswith(b"%PDF"), f"no paper: {self.window.notice.text()}"

    def print_paper(self) -> None:
        kind, path = self.rng.choice(list(PAPERS)), self._folder / "printed.pdf"
        path.unlink(missing_ok=True)
        self._secretary.prepare(printing(path))
        self.choose("Papers", "Print", f"{PAPERS[kind].title}...")
        said = f"{kind}: {self._secretary.seen}, {self._secretary.wrong}, {self.window.notice.text()!r}"
        assert path.exists() and path.read_bytes().startswith(b"%PDF"), f"not printed: {said}"

    def record(self) -> None:
        self._secretary.prepare(escaping)
        if self.rng.random() < 0.5:
            self._secretary.prepare(filling({"By": "somebody", "In words": "looked at"}))
            self.choose("Papers", "Add to the log...")
        elif self.rng.random() < 0.5:
            lines = {
                "Reference": "R 1",
                "Date of the letter": "2026-01-01",
                "Limit": "300 kg",
                "The limit is the": "hook load",
                "Up to fork height": "2 m",
            }
            self._secretary.prepare(filling(lines))
            self.choose("Papers", "Enter the maker's approval...")
        else:
            self.choose("Papers", "Enter the maker's approval...")

    # -------------------------------------------------------- long work

    def chart(self) -> None:
        """Look at the chart, stand where one of its cells stands."""
        show_tab(self.window, "Load chart")
        panel = self.window.panels[CHART]
        self.wait(lambda: not panel.background.busy, "the chart")
        table = panel.view.table
        cells = [(row, column) for row in range(table.rowCount()) for column in range(table.columnCount())]
        if cells:
            item = table.item(*self.rng.choice(cells))
            self.click(table.viewport(), table.visualItemRect(item).center())

    def reach_map(self) -> None:
        maps = self.window.commands.reach_maps
        self.key(Qt.Key.Key_R, CTRL)
        if maps.wanted:
            self.wait(lambda: any(maps.maps) or not maps.background.busy, "a reach map")
            if self.rng.random() < 0.7:
                self.key(Qt.Key.Key_R, CTRL)

    def move(self) -> None:
        """Make a move, look along it, play a little of it; sometimes something else is done before it is left."""
        show_tab(self.window, "Move A to B")
        panel, rng = self.window.panels[MOVE], self.rng
        if panel.chosen is None:
            self._secretary.prepare(naming(f"move {rng.randrange(100)}"))
            self._press_named(panel, "make a move from the poses")
            while panel.chosen is not None and len(panel.chosen.poses) > 2:  # more legs only take longer
                self._press_named(panel, "take the last pose off the move")
        self.wait(lambda: not panel.background.busy, "a move")
        for key in rng.choices((Qt.Key.Key_Right, Qt.Key.Key_PageUp, Qt.Key.Key_End, Qt.Key.Key_Home), k=4):
            if panel.ribbon is not None:
                self.key(key, on=panel.ribbon.view)
        if panel.plan is not None and panel.plan.steps:
            self._press_named(panel, "play the move")
            began = panel.place
            if panel._timer.isActive():
                self.wait(lambda: panel.place != began or not panel._timer.isActive(), "the move's play")
                self._press_named(panel, "play the move")
        what = rng.choice(("leave", "leave", "undo", "units", "drag", "add a pose", "log", "tab"))
        {
            "leave": lambda: None,
            "undo": self.undo_redo,
            "units": self.change_units,
            "drag": self.drag,
            "add a pose": self.change_poses,
            "log": self.record,
            "tab": self.look_at_panel,
        }[what]()
        show_tab(self.window, "Move A to B")
        self._press_named(panel, "show the pose again")

    def aim(self) -> None:
        """Ask for ways to a point and choose one."""
        show_tab(self.window, "Hook to a point")
        panel = self.window.panels[GO_TO_POINT]
        type_into(panel.fields["z"], f"{self.rng.uniform(1.5, 3.5):.2f} m")
        self.click(panel.find_button)
        self.wait(lambda: not panel.background.busy, "the ways to a point")
        if panel.list.count():
            self.click(panel.list.viewport(), panel.list.visualItemRect(panel.list.item(0)).center())
        self.click(panel.here_button)


def _action(actions: list[QAction], name: str) -> QAction:
    named = [action for action in actions if action.text().replace("&", "") == name]
    assert len(named) == 1, f"{len(named)} commands {name!r} among {[action.text() for action in actions]}"
    return named[0]
