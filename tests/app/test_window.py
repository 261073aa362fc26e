"""The window as a person meets it: caution, figures, units, files, poses, typed entries."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from boxes import answering, press
from hand import block_words, show_tab, type_into
from PySide6.QtCore import QEvent, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QLabel,
    QLineEdit,
    QMenu,
    QMessageBox,
    QPushButton,
    QToolButton,
    QWidget,
)
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from app.canvas.marks import Tag
from app.documents.document import Document
from app.documents.files import SAMPLES, sample_rig
from app.panels.figure import Figure
from app.panels.worst_uses import worst_uses
from app.shell.panel_registry import BOOM, LIMITS, POSE, RULES, TRUCK, WORST_CASE
from app.shell.window import Window
from app.shell.windows import Windows
from engine.base.caution import CAUTION, NOT_APPROVED
from engine.base.formatting import KG_PER_LB
from engine.schema import rig_file
from engine.schema.policy_reasons import POLICY_REASONS
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate


def shown_texts(window: Window) -> list[str]:
    """Every text the window shows now: labels, fields and tags on the drawing."""
    texts = [label.text() for kind in (QLabel, Figure) for label in window.findChildren(kind) if label.isVisible()]
    block = window.block
    texts += [part.accessibleDescription() for part in (block.bars, block.table) if part.isVisible()]
    texts += [field.text() for field in window.findChildren(QLineEdit) if field.isVisible()]
    for view in (window.views.side_view, window.views.plan_view):
        texts += [item.text for item in view.scene().items() if isinstance(item, Tag) and item.isVisible()]
    return texts


# ---------------------------------------------------------------- caution


def test_the_caution_is_there_in_every_state_and_nothing_in_the_window_closes_it(window: Window) -> None:
    assert CAUTION in window.banner.text
    assert NOT_APPROVED in window.banner.text
    assert not window.banner.findChildren(QPushButton)
    for action in window.findChildren(type(window.commands.unit_actions["us"])):
        assert "caution" not in action.text().lower()
    for tab in range(window.panels.count()):
        window.panels.setCurrentIndex(tab)
        assert window.banner.isVisible() and window.banner.height() > 0
    QTest.keyClick(window, Qt.Key.Key_Escape)
    assert window.banner.isVisible()


def test_the_title_says_not_approved(window: Window) -> None:
    assert NOT_APPROVED in window.windowTitle()


# ---------------------------------------------------------------- figures


@pytest.mark.parametrize("name", SAMPLES)
def test_the_verdict_block_shows_what_the_engine_says(make_window: Callable[..., Window], name: str) -> None:
    window = make_window(name)
    unit_kg = KG_PER_LB if window.document.units == "us" else 1.0
    for index, pose in enumerate(window.document.job.poses):
        window.document.show_pose(index)
        verdict = evaluate(window.document.job, pose)
        assert window.block.word.state == verdict.state
        if verdict.state == "REFUSED":
            assert block_words(window, "most") == "most: none given"
            continue
        for box, left_kg in (
            ("Rear wheels", verdict.leaned.rear_kg),
            ("Lightest front wheel", verdict.leaned.light_front_kg),
        ):
            assert f"{math.floor(float(left_kg) / unit_kg):,}".replace(",", "\u202f") in window.block.text(box)
        first = block_words(window, "gives first")
        governing = verdict.governing
        assert governing.kind in first or (governing.of == "room" and governing.numbers["object"] in first)


def test_a_missing_plate_is_refused_with_the_reason_and_no_allowed_load(window: Window) -> None:
    window.document.set_value("truck.plate", None, "plate not known")
    assert window.block.word.state == "REFUSED"
    assert block_words(window, "most") == "most: none given"
    assert "Without a plate there is no allowed load" in window.notice.text()
    window.document.undo_stack.undo()
    assert window.block.word.state != "REFUSED"
    assert window.notice.text() == ""


METRIC = re.compile(r"\d\s(kg|m|mm|N·m|MPa)\b")
US = re.compile(r"\d\s(lb|ft|in|lbf-ft|ksi)\b")
NAMES = re.compile(r"\(\d[\d./ -]* (mm|in)\)")
"""What a size is sold as, in brackets after the size in the person's unit: it keeps its name."""


def without_names(window: Window) -> list[str]:
    return [NAMES.sub("", text) for text in shown_texts(window)]


def test_switching_units_changes_every_shown_number_at_once(window: Window) -> None:
    for tab in range(window.panels.count()):
        window.document.set_units("metric")
        window.panels.setCurrentIndex(tab)
        before = without_names(window)
        assert any(METRIC.search(text) for text in before)
        assert not [text for text in before if US.search(text)]
        window.document.set_units("us")
        after = without_names(window)
        assert any(US.search(text) for text in after)
        assert not [text for text in after if METRIC.search(text)]


def test_rulers_follow_the_units(window: Window) -> None:
    assert window.views.rulers[0].label(2.0) == "2"
    window.document.set_units("us")
    assert window.views.rulers[0].label(0.3048 * 5) == "5 ft"


# ---------------------------------------------------------------- typed entries


@pytest.mark.parametrize(
    ("name", "text", "reach"),
    [
        ("lift", "1.2 m", lambda pose: pose.lift_m == pytest.approx(1.2)),
        ("lift", "4 ft 1-1/4 in", lambda pose: pose.lift_m == pytest.approx(49.25 * 0.0254)),
        ("tilt", "2.5", lambda pose: pose.tilt_rad == pytest.approx(0.0436332, abs=1e-6)),
        ("boom hole", "9", lambda pose: pose.hole == 9),
        ("boom", "850 mm", lambda pose: pose.hole is None and pose.free_out_m == pytest.approx(0.85)),
        ("arm 0", "-35 deg", lambda pose: pose.arms[0].turn_rad == pytest.approx(-0.6108652, abs=1e-6)),
    ],
)
def test_every_handle_has_a_field_that_takes_typed_values(
    window: Window, name: str, text: str, reach: Callable
) -> None:
    type_into(window.panels[POSE].fields[name], text)
    assert reach(window.document.pose)
    assert window.document.undo_stack.count() == 1


def test_arrow_keys_in_a_field_step_the_value_as_one_undo_step_each(window: Window) -> None:
    field = window.panels[POSE].fields["boom hole"]
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Up)
    assert window.document.pose.hole == 8
    QTest.keyClick(field, Qt.Key.Key_Down)
    QTest.keyClick(field, Qt.Key.Key_Down)
    assert window.document.pose.hole == 6
    assert window.document.undo_stack.count() == 3


def test_a_hole_that_no_arrow_key_reaches_is_told_with_the_reason(window: Window) -> None:
    """Of Skerry's eleven holes the innermost would bring the hinge into the front strap."""
    field = window.panels[POSE].fields["boom hole"]
    type_into(field, "10")
    steps = window.document.undo_stack.count()
    QTest.keyClick(field, Qt.Key.Key_Up)
    words = "Pin hole 11 cannot be used. At 300 mm out, the hinge on the boom stands in the front strap"
    assert window.document.pose.hole == 10 and window.document.undo_stack.count() == steps
    assert field.note.words.text().startswith(words) and not field.note.isHidden()
    assert window.notice.text() == f"{field.note.words.text()}"
    QTest.keyClick(field, Qt.Key.Key_Down)
    assert field.note.isHidden() and not window.notice.text() and window.document.pose.hole == 9
    window.document.step_holes(1)
    QTest.keyClick(window, Qt.Key.Key_Left, Qt.KeyboardModifier.ControlModifier)
    assert window.notice.text().startswith(words)


def test_a_hole_that_is_typed_and_cannot_be_is_refused_with_the_reason(window: Window) -> None:
    field = window.panels[POSE].fields["boom hole"]
    type_into(field, "11")
    assert window.document.pose.hole == 7
    assert field.wrong.startswith(
        "At 300 mm out, the hinge on the boom stands in the front strap: it reaches back 250 mm"
    )


def test_typing_the_hook_height_moves_the_rig(window: Window) -> None:
    type_into(window.panels[POSE].fields["hook z"], "2.5 m")
    assert window.document.verdict.placed.hook_m.z == pytest.approx(2.5, abs=1e-3)


def test_a_reach_the_holes_do_not_allow_says_how_near_it_comes(window: Window) -> None:
    type_into(window.panels[POSE].fields["hook"], "9 m")
    assert "nearest reach" in window.notice.text() and "9\u202f000 mm" in window.notice.text()
    type_into(window.panels[POSE].fields["hook z"], "2.5 m")
    assert "nearest" not in window.notice.text()


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("lift", "300 kg", "is not a length"),
        ("lift", "9 m", "cannot stand"),
        ("lift", "-1 m", "at least 0 mm"),
        ("lift", "", "Nothing was typed"),
        ("lift", "nan", "a length such as"),
        ("lift", "1e400", "a length such as"),
        ("boom hole", "99", "hole"),
        ("boom", "5 m", "leaves the rear saddle"),
        ("arm 0", "5 %", "is not an angle"),
    ],
)
def test_a_wrong_entry_is_explained_and_changes_nothing(window: Window, name: str, text: str, says: str) -> None:
    before = window.document.job
    field = window.panels[POSE].fields[name]
    type_into(field, text)
    assert says in field.wrong
    assert says in window.notice.text()
    assert window.document.job == before
    assert window.document.undo_stack.count() == 0


def test_a_form_field_changes_the_entry_it_is_named_for(window: Window) -> None:
    show_tab(window, "Weights and dimensions")
    form = window.panels[TRUCK]
    type_into(form.fields["truck.wheelbase_m.best"], "1.7 m")
    assert window.document.job.truck.wheelbase_m.best == pytest.approx(1.7)
    type_into(form.fields["truck.wheelbase_m.best"], "12 kg")
    assert "not a length" in window.notice.text()
    assert window.document.job.truck.wheelbase_m.best == pytest.approx(1.7)


def test_every_allowance_stands_with_its_reason(window: Window) -> None:
    show_tab(window, "Rules used")
    texts = " ".join(label.text() for label in window.panels[RULES].findChildren(QLabel))
    for reason in POLICY_REASONS.values():
        assert reason.words in texts and reason.source in texts


def test_a_wall_thicker_than_the_tube_is_refused_by_the_form(window: Window) -> None:
    show_tab(window, "Boom and its pin")
    type_into(window.panels[BOOM].fields["rig.boom.section.wall_m"], "60 mm")
    assert "thicker than the tube allows" in window.notice.text()


def test_filling_in_the_plate_waits_for_all_three_numbers(window: Window, qtbot: QtBot) -> None:
    from app.panels.plate import PlateDialog

    dialog = PlateDialog(window, "metric")
    qtbot.addWidget(dialog)
    dialog.show()
    ok = dialog.buttons.button(dialog.buttons.StandardButton.Ok)
    type_into(dialog.fields["rated_kg"], "2500 kg")
    type_into(dialog.fields["load_centre_m"], "500 mm")
    assert not ok.isEnabled()
    type_into(dialog.fields["lift_m"], "3.3 m")
    assert ok.isEnabled()
    assert (dialog.row.rated_kg, dialog.row.load_centre_m, dialog.row.lift_m) == (2500.0, 0.5, 3.3)


# ---------------------------------------------------------------- poses


def test_poses_are_added_renamed_removed_and_undone(window: Window) -> None:
    document, count = window.document, len(window.document.job.poses)
    window.panels[POSE].named_poses.add_named("over the bench")
    assert document.pose.name == "over the bench"
    window.panels[POSE].named_poses.add_named("over the bench")
    assert "There is a pose called" in window.notice.text()
    window.panels[POSE].named_poses.remove()
    assert len(document.job.poses) == count
    document.undo_stack.undo()
    assert document.pose.name == "over the bench"
    document.undo_stack.undo()
    assert len(document.job.poses) == count


def test_looking_at_another_pose_is_no_change(window: Window) -> None:
    window.document.show_pose(2)
    assert window.document.pose.name == "arms folded to the left"
    assert not window.document.unsaved


# ---------------------------------------------------------------- limits


def test_choosing_a_limit_shows_its_sum_and_its_place(window: Window) -> None:
    show_tab(window, "Every limit")
    window.panels[LIMITS].choose(1)
    check = window.panels[LIMITS].chosen_check
    assert check.part in window.panels[LIMITS].sum_text
    assert "Source" in window.panels[LIMITS].sum_text
    worst = {id(check): use for check, use in worst_uses(window.document.verdict)}
    listed = window.panels[LIMITS].checks
    limits = [worst[id(check)] for check in listed if check.of != "room"]
    assert limits == sorted(limits, reverse=True)
    wide = [check for check in listed if check.of == "room"]
    assert wide and listed[-len(wide) :] == wide, "room that is wide enough comes last"
    assert window.views.side_drawing.tag("governing").text == check.part


def test_limits_that_are_kept_have_no_colour_of_another_state(window: Window) -> None:
    """The boatyard's boom is used 100 % in the worst case, and WITHIN: its bar is as green as that of the block."""
    show_tab(window, "Every limit")
    QApplication.processEvents()
    assert window.panels[LIMITS].rows[0].startswith("100 % near: boom")
    image, states = window.panels[LIMITS].grab().toImage(), window.appearance.colours.states
    seen = {image.pixelColor(x, y).name() for x in range(0, image.width(), 3) for y in range(image.height() // 2)}
    assert states["WITHIN"].ground in seen
    assert states["NOT PROVEN"].ground not in seen and states["OVER"].ground not in seen


def test_the_part_that_gives_first_is_hatched_on_the_drawing(window: Window) -> None:
    assert window.document.verdict.governing.part == "boom"
    hatch = window.views.ink.governing.style()
    assert window.views.side_drawing.part("boom").brush().style() == hatch
    window.document.set_value("truck.forks.worn_m", 0.018, "worn heels")
    assert window.document.verdict.governing.part == "forks"
    assert window.views.side_drawing.part("boom").brush().style() != hatch


def test_a_bed_that_gives_first_is_hatched_with_the_saddles_and_marked_at_the_mast(window: Window) -> None:
    """A wall of 3 mm at the boatyard: no other part holds less."""
    window.document.set_value("rig.saddles.bed.section.wall_m", 0.003, "a thin bed")
    governing = window.document.verdict.governing
    assert governing is not None and governing.part == "saddle bed"
    drawing = window.views.side_drawing
    assert drawing.part("saddle bed").brush().style() == window.views.ink.governing.style()
    assert drawing.tag("governing").text == "gives first: saddle bed"


def test_unknown_steel_is_flagged_beside_the_state_and_in_the_limits(window: Window) -> None:
    assert "steel of unknown grade" in window.block.sentence.text()
    show_tab(window, "Every limit")
    assert "Steel of unknown grade" in window.panels[LIMITS].cautions_text


def test_a_wide_guess_of_the_load_is_not_proven_and_weighing_it_is_named(window: Window) -> None:
    allowed = window.document.verdict.nominal_allowed_load_kg
    guess = Estimate(best=0.9 * allowed, known="guess", low=0.6 * allowed, high=1.4 * allowed)
    window.document.set_value("load.mass_kg", guess, "Guess the load")
    assert window.block.word.state == "NOT PROVEN"
    show_tab(window, "Doubt")
    assert "Weigh the load" in window.panels[WORST_CASE].text
    assert "Weight of the load" in window.panels[WORST_CASE].text


# ---------------------------------------------------------------- files


def test_save_as_then_open_gives_the_same_job(window: Window, tmp_path: Path) -> None:
    path = tmp_path / "mine.rig.json"
    window.document.set_pose(
        window.document.pose.__class__(**{**_fields(window.document.pose), "lift_m": 1.0}), "Raise"
    )
    assert window.isWindowModified()
    assert window.commands.files.save_to(path)
    assert not window.isWindowModified()
    assert rig_file.read(path) == window.document.job
    assert "mine.rig.json" in window.windowTitle()


def _fields(struct: msgspec.Struct) -> dict[str, object]:
    return {name: getattr(struct, name) for name in struct.__struct_fields__}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "bad.rig.json: The file is empty."),
        (b"{", "cut short"),
        (b'{"format_version": 99}', "newer"),
        (b'{"name": "x"}', "bad.rig.json: The file: ‘truck’ is missing."),
        (b"\xff\xfe\x00", "holds something that is no text"),
    ],
)
def test_a_bad_file_is_told_and_never_replaces_what_is_open(
    window: Window, tmp_path: Path, data: bytes, says: str
) -> None:
    before = window.document.job
    path = tmp_path / "bad.rig.json"
    path.write_bytes(data)
    assert not window.commands.files.open(path)
    assert window.document.job is before
    assert says in window.notice.text()
    assert "not opened" in window.notice.text()
    for box in window.findChildren(QMessageBox):
        box.close()


def test_saving_where_nothing_can_be_written_is_loud_and_keeps_the_edit(window: Window, tmp_path: Path) -> None:
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    assert not window.commands.files.save_to(tmp_path / "no such folder" / "x.rig.json")
    assert "NOT saved" in window.notice.text()
    assert window.document.unsaved
    assert window.document.job.load.mass_kg.best == 150.0
    for box in window.findChildren(QMessageBox):
        box.close()


@pytest.mark.parametrize(
    ("answer", "left"),
    [("Cancel", False), ("Don't save", True)],
)
def test_unsaved_changes_are_asked_about_before_they_are_left(window: Window, answer: str, left: bool) -> None:
    assert window.commands.files.may_leave()
    window.document.set_value("load.mass_kg.best", 150.0, "Weigh it")
    with answering(lambda box: press(box, answer)) as said:
        assert window.commands.files.may_leave() is left
    assert "is not saved. Save it first?" in said[0]


# ---------------------------------------------------------------- hands


def test_every_field_and_button_has_a_name_and_can_be_reached_by_tab(window: Window) -> None:
    for tab in range(window.panels.count()):
        window.panels.setCurrentIndex(tab)
        for widget in window.findChildren(QWidget):
            if not widget.isVisible() or not widget.focusPolicy() & Qt.FocusPolicy.TabFocus or widget.focusProxy():
                continue
            if widget.metaObject().className().startswith(("QTabBar", "QMenuBar", "QLabel", "QComboBoxPrivate")):
                continue
            assert widget.accessibleName() or getattr(widget, "text", lambda: "")(), widget.metaObject().className()


def test_keys_pan_zoom_and_fit_the_drawing(window: Window) -> None:
    view = window.views.side_view
    view.setFocus()
    scale, centre = view.px_per_mm, view.scene_centre()
    QTest.keyClick(view, Qt.Key.Key_Plus)
    assert view.px_per_mm > scale
    QTest.keyClick(view, Qt.Key.Key_Right)
    assert view.scene_centre().x() > centre.x()
    QTest.keyClick(view, Qt.Key.Key_F)
    assert view.px_per_mm == pytest.approx(scale, rel=0.02)


def test_a_closed_window_takes_its_document_and_its_watch_on_the_file_with_it(
    settings: QSettings, qtbot: QtBot
) -> None:
    windows = Windows(settings)
    window = windows.open(Document(sample_rig("skerry_point_boatyard")))
    with qtbot.waitSignals([window.document.destroyed, window.commands.files.watch.destroyed]):
        window.close()
    assert not windows.all


def is_of_a_plot(widget: QWidget) -> bool:
    """Whether this is one of the plots' own menus, or of the parts those are made of."""
    menus = ("Plot Options", "Grid", "Alpha", "Points", "Average", "Downsample", "Transforms")
    if isinstance(widget, QMenu):
        return widget.title() in menus
    return type(widget) in (QWidget, QToolButton) and not widget.objectName()


def test_no_widget_outlives_its_window(settings: QSettings, qtbot: QtBot) -> None:
    before = set(QApplication.topLevelWidgets())
    window = Windows(settings).open(Document(sample_rig("skerry_point_boatyard")))
    for section in range(window.panels.count()):
        window.panels.setCurrentIndex(section)
    window.close()
    qtbot.wait_until(lambda: not isValid(window))
    left = [widget for widget in QApplication.topLevelWidgets() if widget not in before]
    # The charts' library keeps a few menus and boxes of its own for good, none of which is ever shown here.
    theirs = [widget for widget in left if is_of_a_plot(widget)]
    assert [type(widget).__name__ for widget in left if widget not in theirs] == [] and len(theirs) < 50


def test_dialogs_are_gone_once_they_are_closed(window: Window) -> None:
    for open_one in (window.commands.show_keys, window.commands.new_rig):
        open_one()
        (dialog,) = window.findChildren(QDialog)
        dialog.reject()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        assert not window.findChildren(QDialog)


def test_a_floor_whose_fall_is_not_known_is_drawn_level_and_says_so(window: Window) -> None:
    """Nothing is said of how far behind the line the weight lies: that hangs on the fall."""
    document, drawing = window.document, window.views.side_drawing
    index = [floor.name for floor in document.job.floors].index(document.pose.floor)
    assert drawing.dimension_tag("combined").isVisible() and drawing.part("plumb").isVisible()
    document.set_value(f"floors[{index}].fall_across", None, "not known")
    assert "side slope NOT KNOWN" in drawing.tag("floor").text
    document.set_value(f"floors[{index}].fall_along", None, "not known")
    assert drawing.tag("floor").text == "slope and side slope NOT KNOWN"
    assert not drawing.dimension_tag("combined").isVisible() and not drawing.part("plumb").isVisible()
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert drawing.dimension_tag("combined").isVisible() and drawing.part("plumb").isVisible()
    assert drawing.tag("floor").text.startswith("slope ")
