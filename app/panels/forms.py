"""Forms made from the model itself: one field for every entry of a part, so that the types are the one definition.

A form shows the subtree of the job at a path such as ``truck`` or ``rig.boom``.  The unit of a number follows from the
ending of its name; a number that says how it is known has a chip beside it (`known_chip`). ``None`` is an empty field
with the chip "missing!" or "not known", or a part whose box is not ticked.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Container
from functools import partial
from typing import Any

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QCheckBox, QGridLayout, QPushButton, QVBoxLayout, QWidget

from app.documents.document import Document
from app.look import hints
from app.panels.fields import ChoiceField, QuantityField, TextField
from app.panels.known_chip import (
    KNOWN_WORDS,
    MISSING,
    NOT_KNOWN,
    Chipped,
    EstimateDetails,
    KnownChip,
    known_words,
)
from app.panels.plate import ask_plate_row
from app.panels.widgets import add_button, add_row, add_tall_row, caption, heading
from engine.base.errors import TailweightError
from engine.base.typed import ANY
from engine.explain.entry_names import entry_words, kind_of, label_of
from engine.explain.refusals import sentence, words_of
from engine.explain.stages import missing_entries
from engine.limits.entry_ranges import range_of
from engine.schema import nominals
from engine.schema.defaults import empty_value, joint_of_kind
from engine.schema.model import Plate
from engine.schema.policy_reasons import POLICY_REASONS
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube, Section
from engine.schema.stock_sizes import name_of_size, sizes_like
from engine.schema.uncertainty_bands import quantity_kind
from engine.shop import edits

NOT_ENTERED = "not entered"
"""What the list of a joint's kinds shows while there is none."""

OTHER_SIZE = "typed below"
"""What the list of common sizes shows for a section of another size."""

ARMS = "rig.arms"
"""Arms may be added and taken away, by edits of their own: every pose has a stance for each."""

_ONE_OF = {"aboard": "person or thing"}
"""What one entry of a list is called where that is not the list's name without its s."""

_GROWING = {
    ARMS,
    "truck.plate.rows",
    "truck.aboard",
    "truck.solids",
    "floors",
    "surroundings",
    "rig.hook.gear",
    "rig.jib_mast.gussets",
    "load.rigging.legs",
    "load.rigging.parts",
}
"""Lists whose rows may be added and taken away here."""

_ONLY_OF_OLDER_FILES = {"version1"}
"""Kept of an older file until somebody answers; never entered anew."""

AT_START_VALUES = "Start values: measure the part and correct them."
MEASURED = "These are measured or decided"
LACKED = ("missing", "not_entered")
"""Problems for want of an entry."""

FILL_IN = "There is no verdict without it. A click goes to the field."
MAY_STAY_EMPTY = "Nobody has entered it; it may stay empty. A click goes to the field."
_NOT_SHOWN = {"format_version", "poses", "units", "taken_as_typical"}


def _counts_nothing(node: Any, name: str) -> bool:
    """Whether an entry stands for nothing now: one of older files that is not there, or the pitch of holes in steps."""
    if name in _ONLY_OF_OLDER_FILES:
        return getattr(node, name) is None
    return name == "hole_pitch_m" and bool(node.hole_steps_m)


def get(node: Any, path: str) -> Any:
    """The value at a path inside a job."""
    for step in path.replace("[", ".[").split("."):
        node = node[int(step[1:-1])] if step.startswith("[") else getattr(node, step)
    return node


def hints_of(kind: type) -> dict[str, Any]:
    """Field types of a model struct, without their limits; what its class says of every one of them is no field."""
    return {name: hint for name, hint in typing.get_type_hints(kind).items() if name in kind.__struct_fields__}


def _options(hint: Any) -> tuple[Any, ...]:
    """The alternatives of a union, or the type itself."""
    origin = typing.get_origin(hint)
    return typing.get_args(hint) if origin in (typing.Union, types.UnionType) else (hint,)


def choices_of(options: tuple[Any, ...]) -> tuple[Any, ...]:
    """The words an entry may be, if it is one of a few."""
    return next((typing.get_args(kind) for kind in options if typing.get_origin(kind) is typing.Literal), ())


def tag_of(kind: type[msgspec.Struct]) -> str:
    """The word that names a kind of joint in the file."""
    return str(kind.__struct_config__.tag)


def joint_kinds(options: tuple[Any, ...]) -> dict[str, type[msgspec.Struct]]:
    """The kinds of joint among the types of an entry by their words; none where it is no joint of several kinds."""
    kinds = [kind for kind in options if isinstance(kind, type) and issubclass(kind, msgspec.Struct)]
    return {tag_of(kind): kind for kind in kinds if kind.__struct_config__.tag_field == "kind"}


def _name_of(path: str) -> str:
    """The last name in a path that says what kind of number stands there."""
    start, _, last = path.rpartition(".")
    return _name_of(start) if last in ("best", "low", "high") else last.partition("[")[0]


def shape_of(node: Any) -> Any:
    """What decides which fields a form has: types, lengths and which entries are known; not the values."""
    if isinstance(node, msgspec.Struct):
        fields = [
            (name, getattr(node, name) if name == "origin" else shape_of(getattr(node, name)))
            for name in node.__struct_fields__
        ]
        return (type(node).__name__, tuple(fields))
    if isinstance(node, tuple):
        return tuple(shape_of(entry) for entry in node)
    return node is None


class Form(QWidget):
    """Fields for everything at some paths of the job."""

    refused = Signal(str)
    entered_path = Signal(str)
    """The keyboard came to the field of this path."""

    def __init__(
        self,
        document: Document,
        paths: tuple[str, ...],
        parent: QWidget | None = None,
        *,
        only: Container[str] | None = None,
    ) -> None:
        """``only`` are the entries right under the paths that are shown; by default all."""
        super().__init__(parent)
        self._document, self._paths, self._only = document, paths, only
        self._shape: list[Any] | None = None
        self._setters: list[tuple[str, Callable[[Any], None]]] = []
        self.chips: dict[str, KnownChip] = {}
        """How each number is known, by its path; also that of an entry that is empty."""
        self._details: dict[str, EstimateDetails] = {}
        self._open_details: set[str] = set()
        self._empty: list[str] = []
        self.fields: dict[str, QWidget] = {}
        self._column = QVBoxLayout(self)
        self._body: QWidget | None = None

    def show_document(self, document: Document) -> None:
        """Put the job's values in; the fields are built again only when the form's shape has changed."""
        shape = [shape_of(get(document.job, path)) for path in self._paths]
        if shape != self._shape:
            self._shape = shape
            held = self._held_path()
            self._build(document)
            self._take_keyboard(held)
        for path, setter in self._setters:
            setter(get(document.job, path))
        self._mark_missing(document)

    def _held_path(self) -> str:
        """Path of the field that has the keyboard; empty where none of these has it."""
        holder = QApplication.focusWidget()
        return next((path for path, field in self.fields.items() if field is holder), "")

    def _take_keyboard(self, path: str) -> None:
        """Give the keyboard back to the field of a path, after the fields were built again."""
        names = (path, f"{path}.best", path.removesuffix(".best"))
        field = next((self.fields[name] for name in names if name in self.fields), None) if path else None
        if field is not None and self._body is not None:
            self._body.show()
            field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _mark_missing(self, document: Document) -> None:
        """Say beside each empty field whether the verdict waits for it."""
        if not self._empty:
            return
        wanted = {problem.where for problem in missing_entries(document.verdict) if problem.kind in LACKED}
        for path in self._empty:
            chip, missing = self.chips[path], path in wanted
            chip.say(MISSING if missing else NOT_KNOWN, FILL_IN if missing else MAY_STAY_EMPTY)

    def entry_field(self, path: str) -> QWidget | None:
        """The field of an entry: its own, that of its best value, or the first inside it or beside it."""
        for name in (path, f"{path}.best"):
            if name in self.fields:
                owner, _, end = name.rpartition(".")
                if owner in self._details and end != "best":
                    self._open_chip(owner, True)
                return self.fields[name]
        while path:
            inside = [name for name in self.fields if name.startswith(path)]
            if inside:
                return self.fields[inside[0]]
            path = path.rpartition(".")[0]
        return None

    # -------------------------------------------------------- building

    def _build(self, document: Document) -> None:
        self._clear()
        self._body = QWidget()
        self._fill(self._body, document)
        self._column.addWidget(self._body)

    def _clear(self) -> None:
        """Take all fields away."""
        if self._body is not None:
            self._body.setParent(None)
            self._body.deleteLater()
        self._setters, self.fields = [], {}
        self.chips, self._details, self._empty = {}, {}, []

    def _fill(self, body: QWidget, document: Document) -> None:
        """A field for each entry at the paths."""
        grid = QGridLayout(body)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        for path in self._paths:
            self._add_struct(grid, path, get(document.job, path), path.split(".")[-1])
        grid.setRowStretch(grid.rowCount(), 1)

    def _add_struct(self, grid: QGridLayout, path: str, node: Any, title: str) -> None:
        if isinstance(node, tuple):
            self._add_list(grid, path, node, title)
            return
        if path not in self._paths or len(self._paths) > 1:  # else the section says it
            self._heading(grid, title)
        if sizes_like(node):
            self._add_sizes(grid, path, node)
        for name, hint in hints_of(type(node)).items():
            if name == "origin":
                self._add_origin(grid, f"{path}.origin", title, getattr(node, name))
            elif name not in _NOT_SHOWN and not _counts_nothing(node, name) and self._is_shown(path, name):
                self._add_entry(grid, f"{path}.{name}", name, getattr(node, name), hint)
            if path == "policy" and name in POLICY_REASONS:
                reason = POLICY_REASONS[name]
                grid.addWidget(caption(f"{reason.words} ({reason.source})"), grid.rowCount(), 0, 1, 2)

    def _is_shown(self, path: str, name: str) -> bool:
        return self._only is None or path not in self._paths or name in self._only

    def _add_sizes(self, grid: QGridLayout, path: str, node: Section) -> None:
        """A list of common sizes over a section's own numbers."""
        label = f"size of {entry_words(path.rpartition('.')[0], self._document.job)}"
        choice = ChoiceField(label, (OTHER_SIZE, *sizes_like(node, self._document.units)))
        choice.entered.connect(lambda name: self._pick_size(path, name, label))
        self._track(path, lambda value: self._show_size(choice, value))
        self.fields[f"{path} size"] = choice
        self._row(grid, "common size", choice)

    def _show_size(self, choice: ChoiceField, section: Section) -> None:
        choice.set_choices((OTHER_SIZE, *sizes_like(section, self._document.units)))
        choice.set_value(name_of_size(section) or OTHER_SIZE)

    def _pick_size(self, path: str, name: str, label: str) -> None:
        before = get(self._document.job, path)
        size = sizes_like(before).get(name)
        if size is None:
            return
        if isinstance(size, RectTube | RoundTube):
            wall = {"wall_known": before.wall_known, "wall_lost_m": before.wall_lost_m}
            size = msgspec.structs.replace(size, **wall)
        self._enter(path, size, label)

    def _heading(self, grid: QGridLayout, title: str) -> None:
        text = label_of(title)
        grid.addWidget(heading(text[:1].upper() + text[1:]), grid.rowCount(), 0, 1, 2)

    def _add_list(self, grid: QGridLayout, path: str, node: tuple[Any, ...], title: str) -> None:
        for index, entry in enumerate(node):
            self._add_struct(grid, f"{path}[{index}]", entry, getattr(entry, "name", f"{label_of(title)} {index + 1}"))
        if path in _GROWING:
            self._add_grow_buttons(grid, path, node, title)

    def _add_grow_buttons(self, grid: QGridLayout, path: str, node: tuple[Any, ...], title: str) -> None:
        column = QVBoxLayout()  # side by side they are wider than the panel
        singular = _ONE_OF.get(title, label_of(title).rstrip("s"))
        article = "an" if singular[:1] in "aeiou" else "a"
        for text, act in ((f"Add {article} {singular}", self._grow), (f"Remove the last {singular}", self._shrink)):
            button = add_button(column, text, text, partial(self._try, partial(act, path, text)))
            button.setEnabled(bool(node) or act == self._grow)
        grid.addLayout(column, grid.rowCount(), 0, 1, 2)

    def _grow(self, path: str, text: str) -> None:
        if path == ARMS:
            self._document.set_job(edits.add_arm(self._document.committed_job), text)
            return
        rows = get(self._document.job, path)
        self._document.set_value(path, (*rows, empty_value(path, rows)), text)

    def _shrink(self, path: str, text: str) -> None:
        if path == ARMS:
            job = self._document.committed_job
            self._document.set_job(edits.remove_arm(job, len(job.rig.arms) - 1), text)
            return
        self._document.set_value(path, get(self._document.job, path)[:-1], text)

    def _add_entry(self, grid: QGridLayout, path: str, name: str, value: Any, hint: Any) -> None:
        options = _options(hint)
        optional = type(None) in options
        kinds = joint_kinds(options)
        if kinds:
            self._add_joint(grid, path, name, value, kinds)
        elif isinstance(value, Estimate):
            self._add_estimate(grid, path, name, optional=optional)
        elif name == "hole_steps_m":
            self._add_hole_steps(grid, path, value)
        elif isinstance(value, msgspec.Struct | tuple):
            self._add_struct(grid, path, value, name)
            if optional:
                self._row(grid, "", self._presence(path, name, present=True))
        elif value is None:
            self._add_unknown(grid, path, name, options)
        else:
            field = self._plain_field(path, name, value, options)
            self._row(grid, label_of(name), field)
            if optional and isinstance(field, QuantityField):
                self._let_empty(field, path, label_of(name))

    def _add_hole_steps(self, grid: QGridLayout, path: str, steps_m: tuple[float, ...]) -> None:
        """A field for each step from a pin hole to the next, and the way back to one pitch; nothing at one pitch."""
        for index in range(len(steps_m)):
            label = f"hole {index + 1} to hole {index + 2}"
            self._row(grid, label, self._number(f"{path}[{index}]", label, "length"))
        if steps_m:
            text = "Same step to every hole"
            button = QPushButton(text)
            hints.name(button, text)
            button.clicked.connect(lambda: self._enter(path, (), text))
            self.fields[path] = button
            self._row(grid, "", button)

    def _add_joint(
        self, grid: QGridLayout, path: str, name: str, value: Any, kinds: dict[str, type[msgspec.Struct]]
    ) -> None:
        """Which kind of joint stands here, none included, and under it the entries of that kind."""
        label = label_of(name)
        choice = ChoiceField(label, (NOT_ENTERED, *kinds))
        choice.entered.connect(lambda kind: self._try(lambda: self._pick_joint(path, kinds.get(kind), label)))
        self._track(path, lambda node: choice.set_value(NOT_ENTERED if node is None else tag_of(type(node))))
        self.fields[path] = choice
        self._row(grid, label, choice)
        if value is not None:
            self._add_struct(grid, path, value, tag_of(type(value)))

    def _pick_joint(self, path: str, kind: type | None, label: str) -> None:
        before = get(self._document.job, path)
        if kind is None:
            self._document.set_value(path, None, f"{label} not entered")
        elif type(before) is not kind:
            joint = edits.drawn_in(self._document.committed_job, path, joint_of_kind(kind, before))
            self._document.set_value(path, joint, f"Enter {label}")

    def _add_origin(self, grid: QGridLayout, path: str, title: str, origin: str) -> None:
        """Under a part drawn in with start values, a button that says that its sizes are measured."""
        if origin == "entered":
            return
        grid.addWidget(caption(AT_START_VALUES), grid.rowCount(), 0, 1, 2)
        button = QPushButton(MEASURED)
        hints.name(button, f"{label_of(title)}: {MEASURED}")
        button.clicked.connect(lambda: self._enter(path, "entered", f"{label_of(title)} is measured"))
        self.fields[path] = button
        grid.addWidget(button, grid.rowCount(), 0, 1, 2)

    def _add_unknown(self, grid: QGridLayout, path: str, name: str, options: tuple[Any, ...]) -> None:
        """A field for an entry not known so far; a part that can be drawn in gets a box to tick instead."""
        label = label_of(name)
        if any(typing.get_origin(option) is Estimate for option in options):
            field = self._empty_number(path, name, lambda value: Estimate(best=value, known="guess"))
            self._row(grid, label, self._with_empty_chip(field, path, label))
        elif str in options:
            field = TextField(label)
            field.entered.connect(lambda text: self._enter(path, text or None, label))
            self.fields[path] = field
            self._row(grid, label, field)
        elif float in options:
            field = self._empty_number(path, name, lambda value: value)
            self._row(grid, label, self._with_empty_chip(field, path, label))
        elif choices := choices_of(options):
            choice = ChoiceField(label, (NOT_ENTERED, *choices))
            choice.entered.connect(lambda word: self._enter(path, None if word == NOT_ENTERED else word, label))
            self.fields[path] = choice
            self._row(grid, label, choice)
        else:
            box = self.fields[path] = self._presence(path, name, present=False)
            self._row(grid, label, self._with_empty_chip(box, path, label))

    def _with_empty_chip(self, field: QWidget, path: str, label: str) -> Chipped:
        """An empty field with the chip that says whether it is missing; a click on the chip goes to the field."""
        chip = self.chips[path] = KnownChip(label)
        chip.clicked.connect(lambda: field.setFocus(Qt.FocusReason.OtherFocusReason))
        self._empty.append(path)
        return Chipped(field, chip)

    def _empty_number(self, path: str, name: str, entry_of: Callable[[float], Any]) -> QuantityField:
        """A field that is empty until somebody types into it; ``entry_of`` makes the entry of the number."""
        label = label_of(name)
        field = QuantityField(label, kind_of(name), path)
        field.usual = range_of(self._document.job, path)
        self._track(path, lambda _nothing: field.set_value(None, self._document.units))
        field.entered.connect(lambda value: self._enter(path, entry_of(value), label, field))
        field.refused.connect(self.refused)
        self.fields[path] = field
        return field

    def _fill_in(self, path: str, name: str) -> None:
        if name == "plate":
            row = ask_plate_row(self, self._document.units)
            if row is not None:
                self._document.set_value(path, Plate(rows=(row,)), "Enter the plate")
            return
        start = edits.drawn_in(self._document.committed_job, path, empty_value(path, None))
        self._document.set_value(path, start, f"Draw in {label_of(name)}")

    def _presence(self, path: str, name: str, *, present: bool) -> QCheckBox:
        """A box that is ticked while a part is entered; ticking it draws the part in, and the other way round."""
        label = label_of(name)
        box = QCheckBox("Enter what it says" if name == "plate" else "Enter it below")
        box.setAccessibleName(f"{label}: entered")
        box.setToolTip(f"Ticked: {label} is entered below. Not ticked: there is none, or it is not known.")
        box.setChecked(present)

        def turn(wanted: bool) -> None:
            if wanted:
                self._try(lambda: self._fill_in(path, name))
            else:
                self._try(lambda: self._document.set_value(path, None, f"{label} not known"))
            box.setChecked(get(self._document.job, path) is not None)  # nothing came of it: it stays as it was

        box.clicked.connect(turn)
        return box

    def _row(self, grid: QGridLayout, label: str, widget: QWidget) -> None:
        if isinstance(widget, TextField) or label.endswith(" size"):
            add_tall_row(grid, label, widget)
        else:
            add_row(grid, label, widget)

    def _let_empty(self, field: QuantityField, path: str, label: str) -> None:
        """Emptying the field says that the entry is not known."""
        words = f"{label} not known"
        field.may_be_empty = True
        field.emptied.connect(lambda: self._try(lambda: self._document.set_value(path, None, words)))

    def _add_estimate(self, grid: QGridLayout, path: str, name: str, *, optional: bool) -> None:
        label, kind = label_of(name), kind_of(name)
        best = self._number(f"{path}.best", label, kind)
        if optional:
            self._let_empty(best, path, label)
        known = ChoiceField(f"how {label} is known", tuple(KNOWN_WORDS))
        known.entered.connect(lambda text: self._enter(f"{path}.known", text, label))
        self._track(f"{path}.known", known.set_value)
        self.fields[f"{path}.known"] = known
        ends: list[QuantityField] = []
        for end, words in (("low", "least"), ("high", "most")):
            field = self._number(f"{path}.{end}", f"{label}, {words}", kind)
            self._let_empty(field, f"{path}.{end}", f"{label}, {words},")
            ends.append(field)
        chip = self.chips[path] = KnownChip(label)
        quantity = quantity_kind(name)
        for index, word in enumerate(KNOWN_WORDS):
            known.setItemText(index, known_words(word, quantity))
        details = self._details[path] = EstimateDetails(chip, quantity, known, *ends)
        details.opened.connect(lambda wanted: self._open_chip(path, wanted))
        self._row(grid, label, Chipped(best, chip))
        grid.addWidget(details, grid.rowCount(), 0, 1, 2)
        self._track(path, lambda estimate: details.show_estimate(estimate, self._document.units))
        details.open(path in self._open_details)

    def _open_chip(self, path: str, wanted: bool) -> None:
        """Open what a chip opens, and keep it open when the fields are built again; or close it."""
        (self._open_details.add if wanted else self._open_details.discard)(path)
        self._details[path].open(wanted)

    def _plain_field(self, path: str, name: str, value: Any, options: tuple[Any, ...]) -> QWidget:
        label = label_of(name)
        if isinstance(value, bool):
            box = QCheckBox("Yes")
            hints.name(box, label)
            box.clicked.connect(lambda on: self._enter(path, on, label))
            self._track(path, box.setChecked)
            self.fields[path] = box
            return box
        optional = type(None) in options
        choices = choices_of(options)
        if choices:
            choice = ChoiceField(label, (NOT_ENTERED, *choices) if optional else choices)
            choice.entered.connect(lambda word: self._enter(path, None if word == NOT_ENTERED else word, label))
            self._track(path, choice.set_value)
            self.fields[path] = choice
            return choice
        if isinstance(value, str):
            text = TextField(label)
            text.entered.connect(lambda typed: self._enter(path, None if optional and not typed else typed, label))
            self._track(path, text.set_value)
            self.fields[path] = text
            return text
        return self._number(path, label, "count" if isinstance(value, int) else kind_of(name))

    def _number(self, path: str, label: str, kind: str) -> QuantityField:
        field = QuantityField(label, kind, path)
        whole = kind == "count"
        field.entered.connect(lambda value: self._enter(path, round(value) if whole else value, label, field))
        field.refused.connect(self.refused)
        field.usual = range_of(self._document.job, path)
        field.focused.connect(lambda: self.entered_path.emit(path))
        self._track(path, lambda value: self._show_number(field, path, value))
        self.fields[path] = field
        return field

    def _show_number(self, field: QuantityField, path: str, value: float | None) -> None:
        field.set_value(None if value is None else float(value), self._document.units)
        field.set_entered_as(nominals.entered_name(self._document.job, path))

    def number_path(self, path: str) -> str:
        """The path of the field of a number: that of its best value, or its own while it is not known."""
        return f"{path}.best" if f"{path}.best" in self.fields else path

    def another_field(self, path: str, parent: QWidget) -> QuantityField:
        """A second field for a number, to be shown elsewhere: it enters what the form's own would."""
        own = self.fields[path]
        assert isinstance(own, QuantityField)  # asked for numbers alone
        label = own.accessibleName()
        field = QuantityField(label, own.kind, path, parent)
        field.usual = own.usual
        field.set_value(own.value, self._document.units)
        field.set_entered_as(nominals.entered_name(self._document.job, path))
        if own.value is None:
            field.entered.connect(lambda value: own.take_from(field, value))  # which knows what its entry is made of
        else:
            field.entered.connect(lambda value: self._enter(path, value, label, field))
        field.refused.connect(self.refused)
        return field

    def _track(self, path: str, setter: Callable[[Any], None]) -> None:
        self._setters.append((path, setter))

    # -------------------------------------------------------- entering

    def _enter(self, path: str, value: Any, label: str, field: QuantityField | None = None) -> None:
        try:
            name = "" if field is None else field.name_typed
            self._document.set_value(path, value, f"Change {label}", name)
        except TailweightError as error:
            usual = ANY if field is None else field.usual
            words = words_of(error, _name_of(path), self._document.units, usual)
            if field is not None:
                field.refuse(words)
            else:
                self.refused.emit(f"{label}: {words}")
                self.show_document(self._document)

    def _try(self, act: Callable[[], None]) -> None:
        """Act; what the engine refuses is told."""
        try:
            act()
        except TailweightError as error:
            self.refused.emit(sentence(error, self._document.units))
