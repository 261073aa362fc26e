"""As built beside as drawn in the window."""

from __future__ import annotations

from app.shell.panel_registry import AS_BUILT
from app.shell.window import Window


def test_what_building_changed_is_said_with_its_cost_and_undone(window: Window) -> None:
    panel, document = window.panels.bring(AS_BUILT), window.document
    assert "No drawn rig is kept" in panel.said.text()
    panel.keep.click()
    assert "Built as drawn" in panel.said.text()
    document.set_value("rig.boom.section.wall_m", 0.0055, "caliper")
    assert "drawn 6.4 mm, built 5.5 mm" in panel.said.text()
    assert "Alone it costs" in panel.said.text()
    window.document.set_units("us")
    assert "kg" not in panel.said.text()
    panel.forget.click()
    assert document.job.drawn is None
    document.undo_stack.undo()
    assert document.job.drawn is not None
