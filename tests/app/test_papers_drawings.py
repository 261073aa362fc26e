"""The build sheet's drawing in the PDF itself: lines to scale, and side and plan over each other."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pypdf
import pytest
from paper_reader import DATE, PAGES, sheet_of
from pdf_paths import path_boxes

from app.documents.files import sample_rig
from app.papers.build_drawing import build_pictures, build_pose
from app.papers.output import write_pdf
from app.papers.page_marks import MM, UNITS_PER_INCH
from app.papers.subject import subject_of

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("rig", ["tarn_hollow_stone_yard", "skerry_point_boatyard"])
def test_the_boom_and_sleeves_measure_true_on_the_build_sheet(rig: str, page: str, tmp_path: Path) -> None:
    """Boom from the side, both sleeves from above: within 0.2 mm of size over scale, in the PDF itself.

    The boatyard's boom ends 50 mm short of the hinge's pin, which its lugs reach.
    """
    job = sample_rig(rig)
    short_m = {"tarn_hollow_stone_yard": 0.0, "skerry_point_boatyard": 0.05}[rig]
    sheet = sheet_of("build", rig, page)
    write_pdf(sheet, tmp_path / "paper.pdf")
    sizes = [box.size for box in path_boxes(pypdf.PdfReader(tmp_path / "paper.pdf").pages[0])]
    scale = int(re.search(r"scale 1:(\d+)", " ".join(mark.words for mark in sheet.pages[0]))[1])
    boom, sleeves = job.rig.boom, job.rig.sleeves
    for width_m, height_m in (
        (boom.length_m - short_m, boom.section.depth_m),
        (sleeves.length_m, job.truck.forks.spread_m + sleeves.section.width_m),
    ):
        wanted = (width_m * 1000.0 / scale, height_m * 1000.0 / scale)
        assert any(math.dist(size, wanted) <= 0.2 for size in sizes), (wanted, scale)


def test_drawings_are_vectors_not_pictures(tmp_path: Path) -> None:
    for kind in ("helper", "build", "approval"):
        write_pdf(sheet_of(kind, "tarn_hollow_stone_yard"), tmp_path / "paper.pdf")
        for page in pypdf.PdfReader(tmp_path / "paper.pdf").pages:
            assert len(page.images) == 0


def test_side_and_plan_of_the_build_sheet_share_scale_and_x() -> None:
    job, pose = build_pose(sample_rig("skerry_point_boatyard"))
    subject = subject_of(job, pose, DATE)
    elevation, from_above = build_pictures(subject, job, pose, subject.verdict, 170.0 * MM, 104.0 * MM)
    assert elevation.scale == from_above.scale
    across = [(picture.source.left(), picture.source.width()) for picture in (elevation, from_above)]
    assert across[0] == across[1]
    assert elevation.units_per_mm * 25.4 == pytest.approx(UNITS_PER_INCH / elevation.scale)
