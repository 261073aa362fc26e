"""Ways to a paper: the command line, the menu, the printer; and what a person puts on record before one is made."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from paper_reader import DATE, REPLACE, plain, sheet_of, words_of
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QDialogButtonBox, QFileDialog, QLineEdit, QMessageBox

from app.panels.record import ApprovalDialog, LogDialog
from app.papers.layout import Sheet
from app.papers.output import PAPERS, make, write_pdf
from app.papers.titles import TITLES
from app.shell.paper_commands import PaperCommands
from app.shell.window import Window
from engine.base.errors import RigFileError
from engine.schema import rig_file
from engine.schema.model import Approval

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.usefixtures("qapp")


def test_the_command_line_writes_a_paper_without_a_screen(tmp_path: Path) -> None:
    out = tmp_path / "pick.pdf"
    done = _run(
        "skerry_point_boatyard",
        "--paper",
        "pick",
        "--out",
        str(out),
        "--page",
        "letter",
        "--pose",
        "one hole further out",
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert "one hole further out" in plain(pypdf.PdfReader(out).pages[0].extract_text())


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("skerry_point_boatyard", "--paper", "pick"), "go together"),
        (("skerry_point_boatyard", "--paper", "poster", "--out", "x.pdf"), "invalid choice"),
        (("skerry_point_boatyard", "--paper", "log", "--out", "no/such/folder/x.pdf"), "not there: no/such/folder."),
    ],
)
def test_a_paper_that_cannot_be_is_one_clear_line_and_status_2(arguments: tuple[str, ...], says: str) -> None:
    done = _run(*arguments)
    assert done.returncode == 2
    assert says in done.stderr.strip().splitlines()[-1]
    assert "Traceback" not in done.stderr


def _run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "app", *arguments], cwd=ROOT, capture_output=True, text=True, timeout=120, check=False
    )


def test_the_command_line_knows_every_kind_of_paper() -> None:
    assert list(PAPERS) == list(TITLES)


def test_a_file_that_cannot_be_written_leaves_the_old_one_whole(tmp_path: Path) -> None:
    with pytest.raises(RigFileError):
        write_pdf(sheet_of("log", "tarn_hollow_stone_yard"), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_the_papers_menu_has_every_paper_and_writes_the_pose_shown(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    menu = next(action.menu() for action in window.menuBar().actions() if action.text().replace("&", "") == "Papers")
    titles = [
        action.text()
        for action in menu.actions()
        if action.menu() is None and not action.isCheckable() and action.text()
    ]
    assert titles[: len(PAPERS)] == [f"{paper.title}..." for paper in PAPERS.values()]
    out = tmp_path / "card"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    window.document.step_pose(1)
    menu.actions()[0].trigger()
    QApplication.processEvents()
    words = plain(pypdf.PdfReader(out.with_suffix(".pdf")).pages[0].extract_text())
    assert window.document.pose.name in words
    assert "written" in window.notice.text()


def test_page_size_follows_the_units_until_it_is_chosen(window: Window, settings: QSettings) -> None:
    papering: PaperCommands = window.commands.papers
    assert papering.page == "a4"
    window.document.set_units("us")
    assert papering.page == "letter"
    papering.set_page("a4")
    assert papering.page == "a4"
    settings.setValue("page", "poster")
    assert papering.page == "letter"


# ---------------------------------------------------------------- what goes on record


def _type(field: QLineEdit, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_an_approval_needs_reference_date_and_both_limits_and_can_be_undone(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    def answer(dialog: ApprovalDialog) -> int:
        ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
        dialog.show()
        for name, text in (
            ("reference", "M-12"),
            ("date", "2026-02-01"),
            ("allowed_kg", "150 kg"),
            ("lift_max_m", "2 m"),
        ):
            assert not ok.isEnabled()
            _type(dialog.lines[name] if name in dialog.lines else dialog.fields[name], text)
        assert not ok.isEnabled(), "load or hook load: the letter says, nobody may guess"
        dialog.choices["limit_is"].setCurrentIndex(0)
        assert ok.isEnabled()
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(ApprovalDialog, "exec", answer)
    window.commands.papers.ask_approval()
    approval = window.document.job.approval
    assert (approval.reference, approval.allowed_kg, approval.lift_max_m) == ("M-12", 150.0, 2.0)
    assert approval.limit_is == "load"
    assert "NOT APPROVED" not in window.windowTitle()
    assert "Approval entered: M-12" in window.banner.text
    window.document.undo_stack.undo()
    assert window.document.job.approval is None
    assert "NOT APPROVED" in window.windowTitle()


def test_an_approval_can_be_taken_out_again(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    job = window.document.job
    window.document.set_job(
        REPLACE(job, approval=Approval(reference="M", date="d", allowed_kg=100.0, lift_max_m=2.0)), "approve"
    )

    def answer(dialog: ApprovalDialog) -> int:
        dialog.none.click()
        return dialog.result()

    monkeypatch.setattr(ApprovalDialog, "exec", answer)
    window.commands.papers.ask_approval()
    assert window.document.job.approval is None


def test_a_log_entry_goes_into_the_rig_file_and_onto_the_paper(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def answer(dialog: LogDialog) -> int:
        dialog.show()
        dialog.kind.set_value("inspection")
        _type(dialog.lines["by"], "A. B.")
        _type(dialog.fields["rear_kg"], "1790 kg")
        _type(dialog.lines["words"], "welds looked at with dye")
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(LogDialog, "exec", answer)
    window.commands.papers.ask_log_entry()
    entry = window.document.job.log[-1]
    assert (entry.kind, entry.by, entry.rear_kg, entry.sag_m, entry.pose) == (
        "inspection",
        "A. B.",
        1790.0,
        None,
        window.document.pose.name,
    )
    path = tmp_path / "kept.rig.json"
    rig_file.write(window.document.job, path)
    assert rig_file.read(path).log == (entry,)
    job = window.document.job
    assert "welds looked at with dye" in words_of(make("log", job, job.poses[0], "a4", DATE), tmp_path)


def test_a_paper_that_cannot_be_made_is_told_of_when_printed_too(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("PySide6.QtPrintSupport.QPrintDialog.exec", lambda _: QDialog.DialogCode.Accepted)

    def fault(_: str) -> Sheet:
        raise RigFileError("rig.hook", "a hook that can be drawn", "none")

    monkeypatch.setattr(window.commands.papers, "made", fault)
    window.commands.papers.print("pick")
    box = window.findChild(QMessageBox)
    assert box.text() == "The paper was NOT made." and "a hook that can be drawn" in box.informativeText()
    box.close()
