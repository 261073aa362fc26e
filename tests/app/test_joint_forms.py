"""A joint of several kinds in the forms: its kind is chosen, its sizes typed, and it may be not entered again."""

from __future__ import annotations

import typing
from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QAbstractButton
from pytestqt.qtbot import QtBot

from app.canvas.plan_outlines import base_plate, cross_member
from app.canvas.plan_outlines import gussets as plan_gussets
from app.canvas.side_outlines import gussets as side_gussets
from app.canvas.transform import plan_shape
from app.documents.document import Document
from app.panels.fields import ChoiceField, QuantityField
from app.panels.forms import NOT_ENTERED, Form, get
from engine.rig.kinematics import figures, place
from engine.schema.connections import (
    DropInPin,
    EndPlate,
    FaceLugs,
    HingeEnd,
    HookEnd,
    Stay,
    ThroughPin,
    ThroughSleeve,
    WeldedHoop,
)
from engine.schema.defaults import joint_of_kind
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[2] / "sample_rigs"


@pytest.fixture
def form(qtbot: QtBot) -> Form:
    document = Document(read_once(SAMPLES / "skerry_point_boatyard.rig.json"))
    form = Form(document, ("rig.hook",))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    form.show_document(document)
    return form


def pick(form: Form, path: str, word: str) -> None:
    field = form.fields[path]
    assert isinstance(field, ChoiceField)
    index = field.findData(word)
    assert index >= 0, word
    field.setCurrentIndex(index)
    field.activated.emit(index)


def shown(form: Form, path: str) -> object:
    field = form.fields[path]
    assert isinstance(field, ChoiceField)
    return field.currentData()


def test_every_kind_of_hook_end_is_chosen_entered_and_taken_out_again(form: Form) -> None:
    document = form._document
    edge_m = document.job.rig.hook.edge_m
    for word, kind in (("welded_hoop", WeldedHoop), ("drop_in_pin", DropInPin), ("through_pin", ThroughPin)):
        pick(form, "rig.hook.end", word)
        end = document.job.rig.hook.end
        assert isinstance(end, kind) and end.edge_m == edge_m
        assert shown(form, "rig.hook.end") == word
        for name in end.__struct_fields__:
            assert any(path.startswith(f"rig.hook.end.{name}") for path in form.fields), name
    pick(form, "rig.hook.end", NOT_ENTERED)
    assert document.job.rig.hook.end is None
    assert shown(form, "rig.hook.end") == NOT_ENTERED
    pick(form, "rig.hook.end", "drop_in_pin")
    assert isinstance(document.job.rig.hook.end, DropInPin)


def test_start_values_say_so_until_somebody_says_that_they_are_measured(form: Form) -> None:
    document = form._document
    assert "rig.hook.end.origin" not in form.fields  # the sample's own are measured
    pick(form, "rig.hook.end", "drop_in_pin")
    button = form.fields["rig.hook.end.origin"]
    assert isinstance(button, QAbstractButton)
    button.click()
    assert document.job.rig.hook.end.origin == "entered"
    assert "rig.hook.end.origin" not in form.fields


def test_the_cross_members_weld_is_drawn_in_from_the_form(qtbot: QtBot) -> None:
    job = read_once(SAMPLES / "fernbank_tree_nursery.rig.json")
    sleeves = msgspec.structs.replace(job.rig.sleeves, cross_weld=None)
    document = Document(msgspec.structs.replace(job, rig=msgspec.structs.replace(job.rig, sleeves=sleeves)))
    form = Form(document, ("rig.sleeves",))
    qtbot.addWidget(form)
    form.show_document(document)
    button = form.fields["rig.sleeves.cross_weld"]
    assert isinstance(button, QAbstractButton)
    button.click()
    weld = document.job.rig.sleeves.cross_weld
    assert weld is not None and weld.origin == "typical"
    assert weld.leg_m == min(sleeves.section.wall_m, sleeves.cross_section.wall_m)


def test_a_kind_chosen_again_keeps_its_sizes(form: Form) -> None:
    before = form._document.job
    pick(form, "rig.hook.end", "through_pin")
    assert form._document.job is before


def test_one_of_a_few_words_that_is_not_entered_is_chosen_and_taken_out_again(form: Form) -> None:
    pick(form, "rig.hook.end", "welded_hoop")
    assert shown(form, "rig.hook.end.plane") == NOT_ENTERED
    pick(form, "rig.hook.end.plane", "across")
    end = form._document.job.rig.hook.end
    assert isinstance(end, WeldedHoop) and end.plane == "across"
    form._document.set_value("rig.hook.end.plane", None, "not known")
    assert shown(form, "rig.hook.end.plane") == NOT_ENTERED


def test_a_joint_is_entered_and_taken_back_in_one_step(form: Form) -> None:
    before = form._document.job
    pick(form, "rig.hook.end", "welded_hoop")
    form._document.undo_stack.undo()
    assert form._document.job == before


def test_gear_and_rigging_are_entered_from_nothing(form: Form, qtbot: QtBot) -> None:
    document = form._document
    load = Form(document, ("load",))
    qtbot.addWidget(load)
    for path in ("rig.hook.gear", "load.rigging"):
        document.set_value(path, () if path.endswith("gear") else None, "empty")
    form.show_document(document)
    load.show_document(document)
    form._grow("rig.hook.gear", "Add a piece of gear")
    form._grow("rig.hook.gear", "Add a piece of gear")
    assert [item.name for item in document.job.rig.hook.gear] == ["shackle", "shackle 2"]
    assert [item.wll_kg for item in document.job.rig.hook.gear] == [None, None]
    for entry in ("rigging", "rigging.points", "rigging.tag", "rigging.spreader", "rigging.hoist"):
        load.show_document(document)
        button = load.fields[f"load.{entry}"]
        assert isinstance(button, QAbstractButton)
        button.click()
    rigging = document.job.load.rigging
    assert rigging is not None and rigging.tag is not None and rigging.hoist is not None
    assert (rigging.tag.vertical_kg, rigging.hoist.wll_kg) == (None, None)


def test_every_kind_of_joint_has_start_values() -> None:
    for union in (HookEnd, HingeEnd, Stay):
        for kind in typing.get_args(union):
            assert type(joint_of_kind(kind, None)) is kind


def test_a_hinge_end_is_chosen_in_the_form(qtbot: QtBot) -> None:
    document = Document(read_once(SAMPLES / "skerry_point_boatyard.rig.json"))
    form = Form(document, ("rig.arms",))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    document.set_value("rig.arms[0].hinge.inner_end", None, "not entered")
    form.show_document(document)
    assert shown(form, "rig.arms[0].hinge.inner_end") == NOT_ENTERED
    pick(form, "rig.arms[0].hinge.inner_end", "end_plate")
    assert isinstance(document.job.rig.arms[0].hinge.inner_end, EndPlate)


def test_what_stands_at_a_hinge_is_chosen_entered_and_taken_out_again(qtbot: QtBot) -> None:
    document = Document(read_once(SAMPLES / "skerry_point_boatyard.rig.json"))
    form = Form(document, ("rig.arms[0]",))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    form.show_document(document)
    path = "rig.arms[0].hinge.inner_end"
    assert shown(form, path) == "face_lugs"
    for word, kind in (("end_plate", EndPlate), ("through_sleeve", ThroughSleeve), ("face_lugs", FaceLugs)):
        pick(form, path, NOT_ENTERED)
        assert get(document.job, path) is None
        pick(form, path, word)
        end = document.job.rig.arms[0].hinge.inner_end
        assert isinstance(end, kind)
        for name in end.__struct_fields__:
            assert any(shown_path.startswith(f"{path}.{name}") for shown_path in form.fields), name
    # Lugs about the sleeve of 178: 205 from lug to lug on a boom 100 deep.
    lugs, button = document.job.rig.arms[0].hinge.inner_end, form.fields[f"{path}.weld"]
    assert isinstance(lugs, FaceLugs) and lugs.packing_m == pytest.approx(0.04) and lugs.weld is None
    assert isinstance(button, QAbstractButton)
    button.click()
    lugs = document.job.rig.arms[0].hinge.inner_end
    assert isinstance(lugs, FaceLugs) and lugs.weld is not None


def test_the_choices_of_a_weld_are_in_plain_words(qtbot: QtBot) -> None:
    document = Document(read_once(SAMPLES / "skerry_point_boatyard.rig.json"))
    form = Form(document, ("rig.sleeves",))
    qtbot.addWidget(form)
    form.show_document(document)
    texts = [form.fields[f"rig.sleeves.cross_weld.{entry}"].currentText() for entry in ("kind", "quality", "faces")]
    assert texts == ["filled groove", "crack tested", "all round"]


def test_a_base_plate_is_filled_all_over_in_the_plan() -> None:
    job = read_once(SAMPLES / "greywether_memorials.rig.json")
    path = plan_shape(place(job, figures(job, job.poses[0])).frames["forks"].axes, cross_member(job), *base_plate(job))
    assert path.contains(QPointF(1000.0 * job.rig.jib_mast.foot_x_m, 0.0))


def test_gussets_are_added_in_the_form_drawn_dashed_and_solid_once_they_count(qtbot: QtBot) -> None:
    """The memorials' mast stands on a base plate of 160; on one of 200 a toe 96 mm off stands over the side wall."""
    document = Document(read_once(SAMPLES / "greywether_memorials.rig.json"))
    form = Form(document, ("rig.jib_mast",))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    form.show_document(document)
    form._grow("rig.jib_mast.gussets", "Add a gusset")
    form._grow("rig.jib_mast.gussets", "Add a gusset")
    assert [row.face for row in document.job.rig.jib_mast.gussets] == ["front", "back"]
    form._shrink("rig.jib_mast.gussets", "Remove the last gusset")
    assert not side_gussets(document.job, counted=False).isEmpty()
    assert side_gussets(document.job, counted=True).isEmpty()
    button = form.fields["rig.jib_mast.gussets[0].weld"]
    assert isinstance(button, QAbstractButton)
    button.click()
    for path, value in (
        ("base.length_m", 0.2),
        ("gussets[0].out_m", 0.021),
        ("gussets[0].weld.origin", "entered"),
        ("gussets[0].origin", "entered"),
    ):
        document.set_value(f"rig.jib_mast.{path}", value, "measured")
    assert side_gussets(document.job, counted=False).isEmpty()
    path = side_gussets(document.job, counted=True)  # mm ahead of the mast's axis, down from its foot
    assert path.contains(QPointF(76.0, -80.0)) and path.contains(QPointF(94.0, -2.0))
    assert not path.contains(QPointF(94.0, -80.0))
    ((along, aside, _),) = plan_gussets(document.job, counted=True)
    foot_m = document.job.rig.jib_mast.foot_x_m
    assert along == pytest.approx((foot_m + 0.075, foot_m + 0.096)) and aside == pytest.approx((-0.005, 0.005))


def test_steps_from_hole_to_hole_are_typed_one_by_one_and_given_up_for_one_pitch(qtbot: QtBot) -> None:
    document = Document(read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json"))
    form = Form(document, ("rig.boom",))
    qtbot.addWidget(form)
    document.changed.connect(lambda *_: form.show_document(document))
    form.show_document(document)
    assert "rig.boom.hole_pitch_m" in form.fields and "rig.boom.hole_steps_m" not in form.fields
    boom = document.job.rig.boom
    stepped = msgspec.structs.replace(boom, hole_steps_m=(boom.hole_pitch_m,) * (boom.hole_count - 1))
    document.set_value("rig.boom", stepped, "steps")
    assert "rig.boom.hole_pitch_m" not in form.fields
    field = form.fields["rig.boom.hole_steps_m[0]"]
    assert isinstance(field, QuantityField)
    field.entered.emit(0.16)
    assert document.job.rig.boom.hole_m(2) == pytest.approx(boom.first_hole_m + 0.16)
    button = form.fields["rig.boom.hole_steps_m"]
    assert isinstance(button, QAbstractButton)
    button.click()
    assert document.job.rig.boom == boom and "rig.boom.hole_pitch_m" in form.fields


def test_a_form_has_fields_for_what_a_file_holds_alone(qtbot: QtBot) -> None:
    """What the types say of every weld and every tube is no entry."""
    document = Document(read_once(SAMPLES / "skerry_point_boatyard.rig.json"))
    form = Form(document, ("rig",))
    qtbot.addWidget(form)
    form.show_document(document)
    assert not [path for path in form.fields if "thin" in path]
    assert "rig.boom.section.wall_known" in form.fields
