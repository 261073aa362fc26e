"""The verdict block never contradicts itself: word, bars, load table, wheels and what is missing."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from xml.etree import ElementTree

import msgspec
import pytest
from hand import Hand, block_words
from PySide6.QtCore import QBuffer, QEvent, QObject, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QResizeEvent
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.documents.files import SAMPLES
from app.look.text_metrics import small_font, text_metrics
from app.look.theme import DARK, LIGHT
from app.panels.use_bars import FULL, GIVES_FIRST, Bar, UseBars
from app.panels.verdict_block import VerdictBlock
from app.shell.window import Window
from engine.base.formatting import KG_PER_LB
from engine.explain.guessed_entries import guessed_entries
from engine.explain.shown import load_texts
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


@pytest.mark.parametrize(
    ("load", "rigging", "units", "way", "shown"),
    [
        (190.538, 12.0, "metric", "down", ("190", "12", "202")),
        (190.2, 12.6, "metric", "down", ("189", "13", "202")),
        (190.4, 12.6, "metric", "down", ("190", "13", "203")),
        (420.06, 26.46, "us", "down", ("420", "26", "446")),
        (407.86, 26.46, "us", "up", ("408", "26", "434")),
        (0.4, 0.0, "metric", "down", ("0", "0", "0")),
    ],
)
def test_load_and_rigging_add_up_to_the_hook_load(
    load: float, rigging: float, units: str, way: str, shown: tuple[str, str, str]
) -> None:
    """By hand: what may hang is never shown as more than both together."""
    unit_kg, unit = (KG_PER_LB, "lb") if units == "us" else (1.0, "kg")
    texts = load_texts(load * unit_kg, rigging * unit_kg, units, way)
    assert tuple(texts) == tuple(f"{figure} {unit}" for figure in shown)


@pytest.mark.parametrize("name", SAMPLES)
def test_bars_and_word_say_the_same_in_every_pose(make_window: Callable[..., Window], name: str) -> None:
    """Refused has no bar.  Within has no bar past the line; over has one past it as entered, or want of room."""
    window = make_window(name)
    document, block = window.document, window.block
    for index, pose in enumerate(document.job.poses):
        document.show_pose(index)
        verdict, bars, state = document.verdict, block.bars.bars, block.word.state
        assert (state == "REFUSED") == (not bars)
        if not bars:
            assert not block.bars.isVisible() and block.facts.isVisible() and block.facts.links
            continue
        assert [bar.side for bar in bars] == ["RIG", "TRUCK"] and block.bars.isVisible()
        for bar in bars:
            of_side = [use for check, use in verdict.worst_uses if check.side == bar.side.lower()]
            assert bar.use == max(of_side)
            assert bar.shown == f"{math.ceil(100.0 * bar.use - 1e-9):,} %".replace(",", "\u202f")
        proven = all(bar.use <= 1.0 for bar in bars) and not verdict.not_entered and not verdict.room.short_at_worst
        assert (state == "WITHIN") == proven, pose.name
        over = any(bar.as_entered > 1.0 and bar.state == "OVER" for bar in bars) or bool(verdict.room.short)
        assert (state == "OVER") == over, pose.name
        governs = [bar.side.lower() for bar in bars if bar.governs]
        assert governs == ([verdict.governing.side] if verdict.governing.of != "room" else [])


def test_the_boatyard_s_bars_and_wheels(window: Window) -> None:
    """The figures of the file's first pose: uses, must keep, as worked out by the engine's own limits."""
    job, verdict, block = window.document.job, window.document.verdict, window.block
    rig, truck = block.bars.bars
    assert rig.governs and not truck.governs and rig.use > truck.use
    assert rig.as_entered < rig.use <= 1.0
    whole_kg = float(verdict.balance.normal_kg)
    assert f"must keep {math.ceil(0.20 * whole_kg):,} kg".replace(",", "\u202f") in block.text("Rear wheels")
    wheel_kg = job.truck.front_axle_kg.best / 2.0
    assert f"must keep {math.ceil(0.30 * wheel_kg - 1e-9)} kg" in block.text("Lightest front wheel")
    standing = verdict.worst_case.standing
    left = f"{math.floor(standing.rear_weight_left_kg):,} kg left".replace(",", "\u202f")
    assert block.text("Rear wheels").startswith(left)


def test_within_says_how_many_entries_nobody_has_looked_at(window: Window) -> None:
    job = window.document.job
    counted = len(guessed_entries(job, window.document.pose.floor))
    assert counted and f"{counted} guessed or typical" in window.block.sentence.text()
    measured = REPLACE(job.truck.wheelbase_m, known="measured")
    guessed = REPLACE(job.truck.wheelbase_m, known="guess")
    for wheelbase in (measured, guessed):
        window.document.set_value("truck.wheelbase_m", wheelbase, "wheelbase")
        now = guessed_entries(window.document.job, window.document.pose.floor)
        assert ("truck.wheelbase_m" in now) == (wheelbase is guessed)


def test_what_counts_as_guessed() -> None:
    """By hand, on the boatyard: each kind of entry that nobody has looked at, and none of another floor."""
    job = sample("skerry_point_boatyard")
    known = Estimate(best=0.01, known="measured")
    floors = tuple(REPLACE(floor, fall_along=known, fall_across=known) for floor in job.floors)
    job = REPLACE(job, floors=floors)
    before = set(guessed_entries(job))
    guess = REPLACE(floors[-1], fall_across=Estimate(best=0.0, known="guess"))
    spoilt = REPLACE(job, floors=(*floors[:-1], guess))
    path = f"floors[{len(floors) - 1}].fall_across"
    assert set(guessed_entries(spoilt)) - before == {path}
    assert path not in guessed_entries(spoilt, "some other floor")
    boom = REPLACE(job.rig.boom, steel="unknown", section=REPLACE(job.rig.boom.section, wall_known="guess"))
    spoilt = REPLACE(job, rig=REPLACE(job.rig, boom=boom))
    assert {"rig.boom.steel", "rig.boom.section.wall_known"} <= set(guessed_entries(spoilt))


def test_a_short_gap_is_the_headline(make_window: Callable[..., Window]) -> None:
    """Scenario: the boom under the ceiling, and then above it; saving and clicking do not take it away."""
    window = make_window("skerry_point_boatyard")
    document, block = window.document, window.block
    index = next(at for at, pose in enumerate(document.job.poses) if pose.name == "boom home, hook empty")
    document.show_pose(index)
    assert block.word.state == "OVER"
    (short, *_) = document.verdict.room.short
    said = block.sentence.text()
    assert short.numbers["the_part"][4:] in said and short.numbers["object"] in said
    QTest.mouseClick(block.bars, Qt.MouseButton.LeftButton)
    window.notice.clear()
    assert block.sentence.text() == said and block.bars.room
    assert block_words(window, "most") == "most: nothing"


class Heights(QObject):
    """Heights that a widget is given, one after the other."""

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self.seen: list[int] = []
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QResizeEvent):
            self.seen.append(event.size().height())
        return super().eventFilter(watched, event)


def test_missing_facts_are_links_and_go_when_they_are_entered(window: Window) -> None:
    document, block = window.document, window.block
    at = next(at for at, floor in enumerate(document.job.floors) if floor.name == document.pose.floor)
    for name in ("fall_along", "fall_across"):
        document.set_value(f"floors[{at}].{name}", None, "not known")
    words = [link.text() for link in block.facts.links]
    assert len(words) == 2 and all(f"‘{document.pose.floor}’" in text and "slope" in text for text in words)
    assert "2 facts missing" in block.sentence.text() and "No allowed load" in block.facts.words.text()
    wanted: list[str] = []
    block.entry_wanted.connect(wanted.append)
    QTest.mouseClick(block.facts.links[1], Qt.MouseButton.LeftButton)
    assert wanted == [f"floors[{at}].fall_across"]
    document.undo_stack.undo()
    assert len(block.facts.links) == 1
    QApplication.processEvents()
    assert [link for link in block.facts.findChildren(QPushButton) if not link.isHidden()] == block.facts.links
    document.undo_stack.undo()
    assert not block.facts.isVisible() and block.bars.isVisible()


def test_the_block_keeps_its_height_from_verdict_to_none_and_back(window: Window, qtbot: QtBot) -> None:
    """A drag passes through poses that cannot be: the drawing under the block stays where it is, in every layout."""
    settled, heights = window.block.height(), Heights(window.block)
    plate = window.document.job.truck.plate
    for value in (None, plate):
        window.document.set_value("truck.plate", value, "the plate")
        qtbot.waitUntil(lambda value=value: window.block.bars.isVisible() == (value is not None))
        QTest.qWait(20)
    assert all(abs(height - settled) <= window.fontMetrics().height() for height in heights.seen), heights.seen


@pytest.mark.parametrize("percent", [100, 200])
def test_a_longer_sentence_leaves_the_drawing_where_it_is(window: Window, percent: int) -> None:
    """In two rows it is set in small print; either way it stands whole."""
    window.resize(1280, 800)
    window.appearance.set_text_size(percent)
    for _ in range(6):
        QApplication.processEvents()
    block, sentence = window.block, window.block.sentence
    before = block.height(), window.views.y()
    long = "Boom, combined stress at the front saddle: 33 % over its limit with 300 lb at 10 ft 5-13/16 in reach"
    assert len(text_metrics(sentence.font()).lines(long, sentence.width())) == 4
    sentence.setText(long)
    for _ in range(6):
        QApplication.processEvents()
    assert (block.height(), window.views.y()) == before
    assert sentence.heightForWidth(sentence.width()) <= sentence.height()


def test_a_narrow_window_has_the_figures_under_the_word_and_the_bars(make_window: Callable[..., Window]) -> None:
    window = make_window("skerry_point_boatyard")
    block = window.block
    window.resize(1280, 800)
    QTest.qWait(20)
    top = block.table.mapTo(block, QPoint(0, 0)).y()
    window.appearance.set_text_size(200)
    QTest.qWait(50)
    assert block.table.mapTo(block, QPoint(0, 0)).y() > top + block.word.height()
    right = max(box.mapTo(window, box.rect().topRight()).x() for box in (block.table, block.bars))
    assert right < window.width()


BARS = (
    Bar("RIG", "boom: combined stress", 0.992, 0.958, "100 %", "WITHIN", GIVES_FIRST),
    Bar("TRUCK", "tipping, front", 1.6, 1.1, "160 %", "OVER", ""),
)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=lambda colours: colours.name)
def test_bars_end_where_their_use_does(qtbot: object, colours: object) -> None:
    """On a scale of 125 % over the width: 99.2 % ends left of the line at 100 %, 160 % fills it all."""
    bars = UseBars()
    qtbot.addWidget(bars)  # type: ignore[attr-defined]
    bars.resize(500, bars.sizeHint().height())
    bars.set_theme(colours)
    bars.set(BARS, "boom to ceiling: 300 mm at worst, 100 mm wanted", room_short=False)
    image = bars.grab().toImage()
    ratio = image.width() / bars.width()
    green, red = (QColor(colours.states[state].ground).name() for state in ("WITHIN", "OVER"))

    def reach(colour: str) -> float:
        columns = [
            x for x in range(image.width()) for y in range(image.height()) if image.pixelColor(x, y).name() == colour
        ]
        return max(columns) / ratio / (bars.width() - 1) * FULL

    assert reach(green) == pytest.approx(0.992, abs=0.01)
    assert reach(red) == pytest.approx(FULL, abs=0.05)
    assert "Rig, boom: combined stress, 100 % of allowed" in bars.accessibleDescription()


def words_painted(widget: QWidget) -> list[tuple[str, QRectF]]:
    """Every text that a widget paints, with the rectangle that it takes, as they stand in an SVG of it."""
    buffer = QBuffer()
    svg = QSvgGenerator()
    svg.setOutputDevice(buffer)
    svg.setSize(widget.size())
    svg.setResolution(widget.logicalDpiX())
    painter = QPainter(svg)
    widget.render(painter, QPoint())
    painter.end()
    painted = []
    for group in ElementTree.fromstring(buffer.data().data()).iter("{http://www.w3.org/2000/svg}g"):
        for text in group.findall("{http://www.w3.org/2000/svg}text"):
            if not (text.text or "").strip():
                continue
            font = QFont(text.attrib["font-family"])
            font.setPixelSize(round(float(text.attrib["font-size"])))
            font.setWeight(QFont.Weight(int(text.attrib["font-weight"])))
            left, base, metrics = float(text.attrib["x"]), float(text.attrib["y"]), QFontMetricsF(font)
            wide = metrics.horizontalAdvance(text.text or "")
            rect = QRectF(left, base - metrics.capHeight(), wide, metrics.capHeight())
            assert group.attrib["transform"].startswith("matrix(1,0,0,1,"), "the text stands where x and y say"
            dx, dy = map(float, group.attrib["transform"][len("matrix(1,0,0,1,") : -1].split(","))
            painted.append((text.text or "", rect.translated(dx, dy)))
    return painted


def crossings(painted: list[tuple[str, QRectF]], width: float) -> list[tuple[str, ...]]:
    """Texts that lie on each other or end outside the widget."""
    outside = [(words,) for words, rect in painted if rect.left() < -0.1 or rect.right() > width + 0.1]
    pairs = itertools.combinations(painted, 2)
    return [*outside, *((one, other) for (one, here), (other, there) in pairs if here.intersects(there))]


@pytest.mark.parametrize("name", SAMPLES)
def test_no_text_of_the_bars_lies_on_another_and_the_shares_stand_whole(qtbot: QtBot, name: str) -> None:
    block = VerdictBlock()
    qtbot.addWidget(block)
    block.set_theme(LIGHT)
    block.show()
    plain, large = QFont(block.font()), QFont(block.font())
    large.setPointSizeF(2.0 * plain.pointSizeF())
    job = sample(name)
    verdicts = [(pose, evaluate(job, pose)) for pose in job.poses]
    for font, width in ((plain, 1280), (plain, 900), (large, 1280)):
        block.setFont(font)
        block.resize(width, block.sizeHint().height())
        for (pose, verdict), units in itertools.product(verdicts, ("metric", "us")):
            block.show_verdict(REPLACE(job, units=units), pose, verdict)
            bars = block.bars
            if not bars.bars:
                continue
            painted = words_painted(bars)
            assert not crossings(painted, bars.width()), (pose.name, width)
            assert [words for words, _ in painted if words in ("RIG", "TRUCK")] == ["RIG", "TRUCK"]
            assert {bar.shown for bar in bars.bars} <= {words for words, _ in painted}
            assert all(bar.limit in bars.toolTip() and bar.first in bars.toolTip() for bar in bars.bars)


def test_what_gives_first_is_cut_and_its_share_is_not(qtbot: QtBot) -> None:
    """Where the larger use does not give first, both limits are named as far as there is room, on two lines if need be.

    At once, as in a drag, the block keeps its height.
    """
    bars = UseBars()
    qtbot.addWidget(bars)
    bars.set_theme(LIGHT)
    bars.show()
    first = Bar("TRUCK", "rear weight left", 2.4, 1.3, "240 %", "OVER", f"{GIVES_FIRST}: {'moment ' * 20}", "191 %")
    bars.resize(bars.sizeHint() * 1.5)
    before = bars.sizeHint().height()
    bars.set((BARS[0], first), "", room_short=False, at_once=True)
    painted = words_painted(bars)
    assert not crossings(painted, bars.width()) and bars.sizeHint().height() == before
    (line,) = [words for words, _ in painted if words.startswith("rear weight left")]
    assert line.endswith(" …, 191 %)") and f"({GIVES_FIRST}: moment" in line
    bars.set((BARS[0], first), "", room_short=False)
    bars.resize(bars.width(), bars.sizeHint().height())
    painted = words_painted(bars)
    assert not crossings(painted, bars.width()) and bars.sizeHint().height() > before
    (line,) = [words for words, _ in painted if words.startswith(f"{GIVES_FIRST}: moment")]
    assert line.endswith(" …, 191 %") and "rear weight left" in [words for words, _ in painted]
    both = first._replace(first=f"{GIVES_FIRST}: sideways moment at the upright")
    bars.resize(bars.sizeHint())
    bars.set((BARS[0], both), "", room_short=False)
    assert f"{both.first}, 191 %" in [words for words, _ in words_painted(bars)]
    bars.set(BARS, "", room_short=False)
    assert bars.sizeHint().height() == before
    bars.set((BARS[0], first), "", room_short=False)
    bars.resize(bars.minimumSizeHint())
    assert "240 %" in [words for words, _ in words_painted(bars)]
    assert not crossings(words_painted(bars), bars.width())


def test_the_room_is_never_said_without_the_room_wanted(qtbot: QtBot) -> None:
    """Where one line is too narrow for all of it, it takes two; in a drag the names are cut."""
    bars = UseBars()
    qtbot.addWidget(bars)
    bars.set_theme(LIGHT)
    bars.show()
    room = "boom's tail to the truck's upright: 2-5/16 in, must be 2 in"
    least_px = bars.fontMetrics().horizontalAdvance("ROOM   boom's tail …: 2-5/16 in, must be 2 in")
    for times in (3.0, 1.4, 1.2):
        bars.set(BARS, "", room_short=False)
        bars.resize(round(times * least_px), bars.sizeHint().height())
        bars.set(BARS, room, room_short=False, at_once=True)
        painted = words_painted(bars)
        (line,) = [words for words, _ in painted if words.startswith("boom's")]
        assert line.endswith(": 2-5/16 in, must be 2 in") and not crossings(painted, bars.width())
        bars.set(BARS, room, room_short=False)
        bars.resize(bars.width(), bars.sizeHint().height())
        painted = words_painted(bars)
        assert room in " ".join(words for words, _ in painted) and not crossings(painted, bars.width())
    bars.set(BARS, "", room_short=False)
    short = "The saddles come within 12 mm of the cross-member. Nobody has measured it: measure it"
    brief = "saddles to the cross-member: 12 mm, must be 20 mm; not measured"
    bars.resize(math.ceil(text_metrics(bars.font()).size(f"ROOM   {brief}")[0]), bars.height())
    bars.set(BARS, short, room_short=True, brief_room=brief, at_once=True)
    assert brief in [words for words, _ in words_painted(bars)], "a sentence makes room for fewer words"
    assert short in bars.toolTip(), "and stands whole under the pointer"


def test_a_limit_too_long_for_its_row_in_a_drag_is_named_by_its_part(qtbot: QtBot) -> None:
    """A row keeps one line: what gives first, then the limit itself loses what stands after its part."""
    bars = UseBars()
    qtbot.addWidget(bars)
    bars.set_theme(LIGHT)
    bars.show()
    first = Bar("RIG", "sleeves: heel uplift", 1.5, 1.3, "150 %", "OVER", f"{GIVES_FIRST}: boom: bending", "144 %")
    lines = (
        "sleeves: heel uplift (gives first: boom: bending, 144 %)",
        "sleeves: heel uplift (gives first: boom, 144 %)",
        "sleeves (gives first: boom, 144 %)",
    )
    assert first.lines == lines
    small = text_metrics(small_font(bars.font()))
    besides_px = bars.width() - bars._limit_px(first)
    for line in lines:
        bars.set((), "", room_short=False)
        bars.resize(math.ceil(small.size(line)[0] + besides_px) + 1, bars.sizeHint().height())
        bars.set((first,), "", room_short=False, at_once=True)
        painted = words_painted(bars)
        assert line in [words for words, _ in painted] and not crossings(painted, bars.width())


@pytest.mark.parametrize("percent", [100, 200])
def test_in_a_drag_no_row_of_the_block_is_cut(make_window: Callable[..., Window], percent: int) -> None:
    """The load is pulled into the truck: gaps get short.  A long name may end early, a figure never."""
    window = make_window("greywether_memorials")
    window.appearance.set_text_size(percent)
    window.resize(1280, 800)
    QTest.qWait(50)
    bars, hand = window.block.bars, Hand(window.views.side_view)
    start, rooms = hand.handle_spot("hook"), set()
    hand.press(start)
    for dx, dy in ((-60, 0), (-30, -30), (40, -20), (100, -40), (100, -80)):
        hand.move(start + QPointF(dx, dy))
        if not bars.isVisible():
            continue
        painted = words_painted(bars)
        assert not crossings(painted, bars.width())
        assert not [words for words, rect in painted if rect.bottom() > bars.height()]
        assert all(bar.shown in [words for words, _ in painted] for bar in bars.bars)
        assert [words for words, _ in painted if words.endswith("…")] == []
        if bars.room:
            rooms.add(bars.room)
            assert bars.room in bars.toolTip()
    hand.release()
    assert rooms


def test_the_block_s_states_are_those_of_the_engine(make_window: Callable[..., Window]) -> None:
    window = make_window("dunmere_bell_hangers")
    document = window.document
    for index, pose in enumerate(document.job.poses):
        document.show_pose(index)
        assert window.block.word.state == evaluate(document.job, pose).state


@pytest.mark.parametrize(("width", "percent"), [(900, 100), (1024, 100), (1280, 100), (1280, 200)])
def test_no_limit_s_name_is_cut_in_the_block(make_window: Callable[..., Window], width: int, percent: int) -> None:
    """In a window too narrow for the names the block takes two rows; a name a little too long takes small print."""
    for name in ("skerry_point_boatyard", "cold_spring_vineyard", "lantern_lane_scenery"):
        window = make_window(name)
        window.appearance.set_text_size(percent)
        window.resize(width, 800)
        QTest.qWait(50)
        for index, pose in enumerate(window.document.job.poses):
            window.document.show_pose(index)
            QTest.qWait(20)
            bars = window.block.bars
            if bars.bars:
                painted = words_painted(bars)
                assert [words for words, _ in painted if "…" in words] == [], pose.name
                assert not crossings(painted, bars.width())
        window.appearance.set_text_size(100)


@pytest.mark.parametrize("size", [(1280, 720), (1280, 800), (900, 800)])
def test_every_figure_of_a_ruler_stands_whole_on_it(make_window: Callable[..., Window], size: tuple[int, int]) -> None:
    window = make_window("cold_spring_vineyard")
    window.resize(*size)
    for units in ("metric", "us"):
        window.document.set_units(units)
        for pose in range(len(window.document.job.poses)):
            window.document.show_pose(pose)
            QTest.qWait(20)
            for ruler in window.views.rulers:
                if ruler.isVisible():
                    half = 0.5 * (QFontMetricsF(ruler.font()).height() - QFontMetricsF(ruler.font()).capHeight())
                    seen = [
                        (words, rect.adjusted(0.0, -0.5 * half, 0.0, 0.5 * half))
                        for words, rect in words_painted(ruler)
                    ]
                    assert [words for words, rect in seen if not QRectF(ruler.rect()).contains(rect)] == []
                    assert len(seen) >= 2
