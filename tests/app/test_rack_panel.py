"""Rack panel: tubes and jobs typed in, the engine's search beside the window, a rig found opened as any new one."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hand import show_tab, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QListWidget
from pytestqt.qtbot import QtBot

from app.documents.files import sample_rig
from app.panels.rack import RackPanel
from app.panels.rack_steel import TYPED_BAR, TYPED_FLAT, TYPED_ROUND
from app.panels.rack_words import rig_words, search_words, unused_words
from app.shell.panel_registry import RACK
from app.shell.window import Window
from engine.base.formatting import show
from engine.planning.stock_search import JobResult, RackCut, RackRig, StockSearch, search
from engine.planning.stock_tubes import tubes_of
from engine.planning.stock_unused import NotFor, Unused
from engine.rig.check import Problem
from engine.schema import rig_file
from engine.schema.model import NoGo, Stock
from engine.schema.sections import FlatBar, RectTube, RoundTube, SolidRound
from engine.shop.edits import REPLACE
from engine.worst_case.verdict import evaluate

WAIT_MS = 120_000
PATTERN = "tarn_hollow_stone_yard"


def pick(choice: QComboBox, data: object) -> None:
    choice.setCurrentIndex(choice.findData(data))
    choice.activated.emit(choice.currentIndex())


def want(panel: RackPanel, name: str, load: str, height: str, reach: str) -> None:
    type_into(panel.jobs.job_name, name)
    for entry, text in (("load", load), ("height", height), ("reach", reach)):
        type_into(panel.jobs.fields[f"job {entry}"], text)
    panel.jobs.add.click()


def listed(rows: QListWidget) -> list[str]:
    return [rows.item(row).text() for row in range(rows.count())]


@pytest.fixture
def opened(make_window: Callable[..., Window]) -> Window:
    window = make_window(PATTERN)
    show_tab(window, "Steel to hand")
    return window


def test_steel_is_picked_or_typed_and_taken_off_again(opened: Window) -> None:
    panel, document = opened.panels[RACK], opened.document
    pick(panel.steel.size_choice, "80 x 80 x 5 mm")
    type_into(panel.steel.fields["steel length"], "3 m")
    panel.steel.add.click()
    assert document.job.stock == (
        Stock(name="no. 1", section=RectTube(width_m=0.08, depth_m=0.08, wall_m=0.005), length_m=3.0),
    )
    type_into(panel.steel.fields["steel depth"], "90 mm")
    type_into(panel.steel.fields["steel count"], "4")
    pick(panel.steel.condition, "rusty")
    pick(panel.steel.grade, "S355")
    panel.steel.add.click()
    second = document.job.stock[1]
    assert second.section == RectTube(width_m=0.08, depth_m=0.09, wall_m=0.005)
    assert (second.condition, second.count, second.steel) == ("rusty", 4, "S355")
    assert listed(panel.steel.rows) == [
        "no. 1: 80 x 80 x 5 mm, 3\u202f000 mm long",
        "no. 2: 80 mm x 90 mm x 5 mm, 4 of them, each 3\u202f000 mm long, S355, RUSTY: counted 1 mm thinner",
    ]
    pick(panel.steel.size_choice, TYPED_ROUND)
    assert panel.steel.fields["steel width"].isHidden() and not panel.steel.fields["steel diameter"].isHidden()
    panel.steel.add.click()
    assert "Enter the diameter" in opened.notice.text() and len(document.job.stock) == 2
    type_into(panel.steel.fields["steel diameter"], "88.9 mm")
    type_into(panel.steel.fields["steel wall"], "6.3 mm")
    panel.steel.add.click()
    assert document.job.stock[2].section == RoundTube(diameter_m=0.0889, wall_m=0.0063)
    panel.steel.rows.setCurrentRow(0)
    panel.steel.remove.click()
    assert [bar.name for bar in document.job.stock] == ["no. 2", "no. 3"]
    type_into(panel.steel.mark, "  shed   post ")
    panel.steel.add.click()
    assert document.job.stock[2].name == "shed post" and panel.steel.mark.text() == ""
    panel.steel.remove.click()
    pick(panel.steel.size_choice, "80 x 80 x 5 mm")
    type_into(panel.steel.fields["steel wall"], "30 mm")
    panel.steel.add.click()
    assert "no such steel" in opened.notice.text() and len(document.job.stock) == 2


def test_in_us_units_the_first_steel_offered_is_twenty_feet_of_an_inch_size(opened: Window) -> None:
    steel = opened.panels[RACK].steel
    opened.document.set_units("us")
    assert steel.size_choice.currentText() == "4 x 4 x 1/4 in" and steel.size_choice.itemText(0).endswith(" in")
    steel.add.click()
    assert opened.document.job.stock[0].length_m == pytest.approx(6.096)
    assert listed(steel.rows) == ["no. 1: 4 x 4 x 1/4 in, 20 ft long"]
    pick(steel.size_choice, "80 x 80 x 5 mm")
    opened.document.set_units("metric")
    assert steel.size_choice.currentText() == "80 x 80 x 5 mm", "what somebody chose stays"


@pytest.mark.parametrize(
    ("typed", "sizes", "section", "words"),
    [
        (
            TYPED_FLAT,
            {"width": "100 mm", "depth": "10 mm"},
            FlatBar(width_m=0.1, depth_m=0.01),
            "flat bar 100 mm x 10 mm",
        ),
        (TYPED_BAR, {"diameter": "30 mm"}, SolidRound(diameter_m=0.03), "round bar 30 mm"),
    ],
)
def test_bars_lie_on_the_rack_for_the_cutting_plan(
    opened: Window, typed: str, sizes: dict[str, str], section: object, words: str
) -> None:
    panel = opened.panels[RACK]
    pick(panel.steel.size_choice, typed)
    for name, text in sizes.items():
        type_into(panel.steel.fields[f"steel {name}"], text)
    assert panel.steel.fields["steel wall"].isHidden()
    panel.steel.add.click()
    assert [bar.section for bar in opened.document.job.stock] == [section] and listed(panel.steel.rows) == [
        f"no. 1: {words}, 6\u202f000 mm long"
    ]
    want(panel, "lintel", "300 kg", "2 m", "1.1 m")
    panel.start_button.click()
    assert "at least one tube and one job" in opened.notice.text()


@pytest.mark.parametrize("count", ["0", "61", "1000000"])
def test_a_number_of_lengths_that_cannot_be_is_refused_and_the_last_good_one_stands(opened: Window, count: str) -> None:
    panel = opened.panels[RACK]
    type_into(panel.steel.fields["steel count"], count)
    assert "1 to 60" in panel.steel.fields["steel count"].wrong
    panel.steel.add.click()
    assert opened.document.job.stock[0].count == 1


def test_a_stretch_not_to_be_used_is_left_out_of_search_and_cutting_plan_and_used_again(opened: Window) -> None:
    panel, document = opened.panels[RACK], opened.document
    assert not panel.steel.add_stretch.isEnabled()
    panel.steel.add.click()
    assert panel.steel.add_stretch.isEnabled() and not panel.steel.use_whole.isEnabled()
    panel.steel.add_stretch.click()
    assert "Enter from and to" in opened.notice.text()
    type_into(panel.steel.fields["stretch from"], "2 m")
    type_into(panel.steel.fields["stretch to"], "1 m")
    panel.steel.add_stretch.click()
    assert "further from the datum end" in opened.notice.text() and document.job.stock[0].no_go == ()
    type_into(panel.steel.fields["stretch to"], "7 m")
    panel.steel.add_stretch.click()
    assert "past the steel's 6\u202f000 mm." in opened.notice.text() and document.job.stock[0].no_go == ()
    type_into(panel.steel.fields["stretch to"], "2.5 m")
    type_into(panel.steel.because, "bend")
    panel.steel.add_stretch.click()
    assert document.job.stock[0].no_go == (NoGo(from_m=2.0, to_m=2.5, why="bend"),)
    assert listed(panel.steel.rows) == [
        "no. 1: 100 x 100 x 6 mm, 6\u202f000 mm long; NOT 2\u202f000 mm to 2\u202f500 mm (bend)"
    ]
    assert [tube.length_m for tube in tubes_of(document.job.stock)] == [2.0, 3.5]
    assert panel.steel.fields["stretch from"].value is None, "the next stretch is another one"
    panel.steel.use_whole.click()
    assert document.job.stock[0].no_go == () and not panel.steel.use_whole.isEnabled()


def test_rack_and_jobs_are_saved_with_the_rig_and_every_entry_can_be_undone(opened: Window) -> None:
    panel, document = opened.panels[RACK], opened.document
    panel.steel.add.click()
    type_into(panel.steel.fields["saw kerf"], "2 mm")
    want(panel, "lintel", "300 kg", "2 m", "1.1 m")
    steps = [document.undo_stack.text(index) for index in range(document.undo_stack.count())]
    assert steps == ["Put no. 1 on the rack", "Change what a cut takes", "Want lintel done"]
    kept = rig_file.decode(rig_file.encode(document.job))
    assert (kept.stock, kept.kerf_m, kept.wanted) == (document.job.stock, 0.002, document.job.wanted)
    document.undo_stack.undo()
    assert panel.jobs.wanted == () and listed(panel.jobs.rows) == []
    document.undo_stack.undo()
    assert panel.steel.fields["saw kerf"].value == 0.003
    document.undo_stack.undo()
    assert listed(panel.steel.rows) == []
    document.undo_stack.redo()
    assert listed(panel.steel.rows) == ["no. 1: 100 x 100 x 6 mm, 6\u202f000 mm long"]
    type_into(panel.steel.fields["saw kerf"], "30 mm")
    assert document.job.kerf_m == 0.003 and panel.steel.fields["saw kerf"].wrong
    document.set_units("us")
    type_into(panel.steel.fields["saw kerf"], "2 in")
    assert panel.steel.fields["saw kerf"].wrong == "Lost to each cut: enter 0 to 3/4 in."


def test_three_jobs_at_most_each_whole_and_a_load_counts_as_guessed_until_said(opened: Window) -> None:
    panel = opened.panels[RACK]
    panel.jobs.add.click()
    assert "Enter the load and the height and the reach" in opened.notice.text()
    panel.start_button.click()
    assert "at least one tube and one job" in opened.notice.text()
    for name in ("lintel", "sill", "step"):
        want(panel, name, "300 kg", "2 m", "1.1 m")
    assert [one.name for one in panel.jobs.wanted] == ["lintel", "sill", "step"] and not panel.jobs.add.isEnabled()
    first = panel.jobs.wanted[0]
    assert (first.load_kg.best, first.load_kg.known, first.hook_height_m, first.ahead_of_face_m) == (
        300.0,
        "guess",
        2.0,
        1.1,
    )
    assert first.rigging_kg == opened.document.job.load.rigging_kg.best
    panel.jobs.rows.setCurrentRow(1)
    panel.jobs.remove.click()
    assert [one.name for one in panel.jobs.wanted] == ["lintel", "step"] and panel.jobs.add.isEnabled()


def test_rigs_found_are_the_engines_and_open_as_new_ones(opened: Window, qtbot: QtBot) -> None:
    panel = opened.panels[RACK]
    pick(panel.steel.size_choice, "100 x 100 x 6 mm")
    panel.steel.add.click()
    pick(panel.jobs.known, "weighed")
    want(panel, "lintel", "300 kg", "2.5 m", "1.1 m")
    want(panel, "sill", "120 kg", "2.9 m", "1.7 m")
    asked = opened.document.job
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        panel.start_button.click()
        assert panel.waiting.stop_button.isEnabled()
    expected = search(asked)
    assert expected.rigs and [one.rig_kg for one in panel.rigs] == [one.rig_kg for one in expected.rigs]
    assert listed(panel.list) == [
        f"{number}. {rig_words(rig, 'metric')}" for number, rig in enumerate(expected.rigs, start=1)
    ]
    assert not panel.waiting.stop_button.isEnabled()
    opened.document.undo_stack.setClean()  # as if saved: a rig just changed is not left without asking
    QTest.keyClick(panel.list, Qt.Key.Key_Return)
    job = opened.document.job
    assert job.rig == expected.rigs[0].job.rig and job.name.endswith("from the rack") and job.approval is None
    assert evaluate(job, job.poses[0]).state == "WITHIN"
    assert listed(panel.list), "the other rigs can still be opened"
    panel.jobs.remove.click()
    assert listed(panel.list) == [] and "search again" in panel.said.text()


def test_steel_left_lying_is_told_with_its_reason_its_rust_and_that_no_doubler_or_splice_counts(
    opened: Window, qtbot: QtBot
) -> None:
    panel = opened.panels[RACK]
    assert panel.unused.isHidden() and panel.splice.isHidden()
    pick(panel.steel.size_choice, "100 x 100 x 6 mm")
    type_into(panel.steel.mark, "cut")
    QTest.mouseClick(panel.steel.add, Qt.MouseButton.LeftButton)
    type_into(panel.steel.fields["steel length"], "1.2 m")
    type_into(panel.steel.fields["steel count"], "2")
    type_into(panel.steel.mark, "halves")
    pick(panel.steel.condition, "rusty")
    QTest.mouseClick(panel.steel.add, Qt.MouseButton.LeftButton)
    pick(panel.steel.condition, "good")
    pick(panel.steel.size_choice, TYPED_FLAT)
    type_into(panel.steel.fields["steel width"], "100 mm")
    type_into(panel.steel.fields["steel depth"], "12 mm")
    type_into(panel.steel.mark, "flat")
    QTest.mouseClick(panel.steel.add, Qt.MouseButton.LeftButton)
    pick(panel.jobs.known, "weighed")
    want(panel, "lintel", "300 kg", "2.5 m", "1.1 m")
    with qtbot.waitSignal(panel.background.answered, timeout=WAIT_MS):
        QTest.mouseClick(panel.start_button, Qt.MouseButton.LeftButton)
    mast, boom = (show(cut.cut_m, "length", "metric") for cut in panel.rigs[0].cuts)
    short = "too short, longest stretch 1\u202f200 mm"
    assert listed(panel.unused) == [
        f"halves (rusty: counted 1 mm thinner): jib mast: {short}, {mast} needed; "
        f"boom: {short}, {boom} needed, and no splice is offered.",
        "flat: not used, it is no tube. A doubler is not counted.",
    ]
    assert panel.splice.text().startswith("A spliced boom is not offered: the joint would need")
    panel.jobs.remove.click()
    assert panel.unused.isHidden() and panel.splice.isHidden(), "reasons go with the rigs they are of"


def test_each_reason_is_told_in_its_own_words() -> None:
    steel = Stock(name="post", section=RectTube(width_m=0.1, depth_m=0.1, wall_m=0.005), length_m=6.0)
    told = {
        "rust": "too rusty, in good condition it would keep its limits as entered: boom: bending 120 % used",
        "over": "over a limit: boom: bending 120 % used",
        "round": "round, and the saddles hold rectangular tube",
        "heavier": "keeps its limits as entered, but makes the rig 7 kg heavier",
        "worst case": "keeps its limits as entered, but is not shown to in the worst case",
    }
    for why, words in told.items():
        reason = NotFor(part="boom", why=why, limit="boom: bending", use=1.2, more_kg=7.4)  # type: ignore[arg-type]
        assert unused_words(Unused(line=0, steel=steel, reasons=(reason,)), "metric") == f"post: boom: {words}."
    unsure = NotFor(part="boom", why="over", limit="boom: bending", use=math.inf)
    assert "not shown to hold: boom: bending." in unused_words(Unused(line=0, steel=steel, reasons=(unsure,)), "metric")


def test_a_stopped_search_lists_nothing(opened: Window) -> None:
    panel = opened.panels[RACK]
    panel.steel.add.click()
    want(panel, "lintel", "300 kg", "2 m", "1.1 m")
    panel.start_button.click()
    panel.waiting.stop_button.click()
    assert panel.waiting.was_stopped and panel.said.text() == "No rig had been found yet."
    assert listed(panel.list) == [] and not panel.waiting.stop_button.isEnabled()
    assert not panel.open_button.isEnabled()


# ---------------------------------------------------------------- words


def result(**changes: object) -> JobResult:
    pose = sample_rig(PATTERN).poses[0]
    done = JobResult(
        wanted="lintel", pose=REPLACE(pose, hole=2), state="WITHIN", use=0.7156, allowed_kg=436.7,
        governing="jib mast: foot weld", works=True, off_m=0.001, up_m=0.0,
    )  # fmt: skip
    return REPLACE(done, **changes)


def rig(*results: JobResult) -> RackRig:
    job = sample_rig(PATTERN)
    boom = REPLACE(job.rig.boom, hole_count=2, hole_steps_m=(0.27,), first_hole_m=0.63)
    pose = REPLACE(job.poses[0], hole=1)
    job = REPLACE(job, rig=REPLACE(job.rig, boom=boom), poses=(pose,), moves=())
    cuts = (
        RackCut(part="jib mast", tube="post", section=RectTube(width_m=0.12, depth_m=0.08, wall_m=0.005), cut_m=1.441),
        RackCut(part="boom", tube="gate", section=RectTube(width_m=0.06, depth_m=0.12, wall_m=0.005), cut_m=2.03),
    )
    return RackRig(job=job, rig_kg=177.03, cuts=cuts, results=results)


def test_a_rig_is_told_with_its_cuts_which_way_up_its_holes_and_jobs() -> None:
    assert rig_words(rig(result()), "metric") == (
        "Rig 178 kg: jib mast 1\u202f441 mm from post, deeper side across the truck; "
        "boom 2\u202f030 mm from gate, on edge. Boom holes from the tail: 630 mm, 900 mm. "
        "lintel, hole 2: 72 % used, 436 kg allowed, governs jib mast: foot weld."
    )


def test_what_is_open_off_or_not_done_is_told_with_its_reason() -> None:
    open_part = Problem(kind="not_entered", where="load.rigging", words="", numbers={"part": "The rigging"})
    told = rig_words(rig(result(state="NOT PROVEN", unproven=(open_part,))), "metric")
    assert told.endswith("NOT PROVEN, for what the open rig leaves open too: the rigging.")
    assert "stand the truck back" not in told
    off = rig_words(rig(result(off_m=0.12)), "metric")
    assert "The hook is 120 mm further out than wanted: stand the truck back." in off
    high = rig_words(rig(result(works=False, use=math.inf, governing="hook height", up_m=0.7)), "metric")
    assert high.startswith("DOES NOT DO IT.") and "NOT DONE, the hook stays 700 mm higher than wanted." in high
    words, numbers = "The slope of {floor} is not known.", {"floor": "yard"}
    slope = Problem(kind="missing", where="floors[0].fall_along", words=words, numbers=numbers)
    refused = rig_words(rig(result(works=False, use=math.inf, governing="", problems=(slope,))), "metric")
    assert "lintel: NOT DONE, The slope of yard is not known." in refused


def test_how_far_a_search_came_is_told_with_what_nothing_else_is_lighter_than() -> None:
    whole = StockSearch(
        rigs=(rig(result()),), nearest=None, looked_at=13, of=16, cut=5, bound_kg=193.9, was_cut_off=False,
        arm_step_m=0.1,
    )  # fmt: skip
    assert search_words(whole, "metric") == (
        "Lightest first, every job within the limits in its worst case. 13 of 16 choices of tubes and lengths were "
        "looked at; no other weighs less than 193 kg. Arms come in steps of 100 mm."
    )
    open_part = Problem(kind="not_entered", where="load.rigging", words="", numbers={"part": "The rigging"})
    unproven = REPLACE(whole, rigs=(rig(result(state="NOT PROVEN", unproven=(open_part,))),))
    told = search_words(unproven, "metric")
    assert "within the limits" not in told and "NOT PROVEN where it says so" in told
    none = REPLACE(whole, rigs=(), was_cut_off=True)
    assert search_words(none, "metric").startswith("The search was cut off. NONE of those looked at does every job.")
    nothing = REPLACE(none, was_cut_off=False, looked_at=16, bound_kg=None)
    assert search_words(nothing, "metric").startswith("NOTHING: no rig can be cut")
    near = REPLACE(nothing, nearest=rig(result(works=False, use=1.2)))
    assert search_words(near, "metric").startswith("NONE does every job. 16 of 16 choices")
