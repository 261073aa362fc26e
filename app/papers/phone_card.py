"""Phone card: one page of hypertext to take along on a telephone, read only, without script, that works offline.

Pose by pose what may hang, then the placard's loads, what they hold for, and when to stop.  Everything stands in one
file: no script, no form, nothing to fetch.  It reads in order with its style left out, and prints in black on white.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from html import escape
from typing import NamedTuple

from PySide6 import QtSvg
from PySide6.QtCore import QBuffer, QIODevice, QRectF
from PySide6.QtGui import QPainter

from app.papers.head_and_foot import head_of
from app.papers.helper_card import RULES as HELPER_RULES
from app.papers.load_placard import RULES as PLACARD_RULES
from app.papers.load_placard import conditions
from app.papers.page_marks import UNITS_PER_INCH
from app.papers.pick_sheet import STOP
from app.papers.pictures import side_picture
from app.papers.subject import Subject, subject_of
from app.papers.titles import CARD_TITLE
from engine.base.plain_text import one_line
from engine.explain.phrases import LOAD_CONDITIONS, pose_words
from engine.explain.placard import Placard, placard
from engine.explain.state_sentence import of_verdict
from engine.rig.completeness import NOT_CHECKED, NOT_CHECKED_WORDS
from engine.schema.model import Job, Pose
from engine.shop.assumptions import assumed, missing
from engine.shop.design_digest import design_digest
from engine.worst_case.verdict import STATE_WORDS

TITLE = CARD_TITLE

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
"""What the page may load (Content Security Policy): nothing but its own style."""

STAYS = "This card does not change when the rig file does. Match the design's figures with the placard."

PICTURE_WIDE, PICTURE_HIGH = 480.0, 480.0
"""Room for the picture, in half points of paper: it is shown as wide as the page, with figures that can be read."""

STYLE = """
:root { color-scheme: light dark; --ground: #ffffff; --ink: #000000; --rule: #444444; --panel: #f0f0f0; }
@media (prefers-color-scheme: dark) {
  :root { --ground: #111111; --ink: #ffffff; --rule: #bbbbbb; --panel: #222222; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 12px; max-width: 44rem; font: 18px/1.4 sans-serif; background: var(--ground);
  color: var(--ink); overflow-wrap: break-word; }
h1 { font-size: 26px; margin: 8px 0; }
h2 { font-size: 22px; margin: 24px 0 8px; border-top: 2px solid var(--rule); padding-top: 8px; }
h3 { font-size: 18px; margin: 16px 0 4px; }
.state { border: 3px solid var(--ink); padding: 8px; font-weight: bold; font-size: 22px; }
.says { font-weight: bold; }
.warning { border: 3px double var(--ink); padding: 8px; font-weight: bold; }
.figure { font-size: 34px; font-weight: bold; line-height: 1.2; }
.pose { background: var(--panel); padding: 8px 12px; margin: 12px 0; }
svg { display: block; width: 100%; height: auto; background: #ffffff; }
table { width: 100%; border-collapse: collapse; }
th, td { text-align: left; vertical-align: baseline; padding: 4px 6px; border-bottom: 1px solid var(--rule); }
thead th { position: sticky; top: 0; background: var(--ground); }
td.load { text-align: right; font-size: 32px; font-weight: bold; white-space: nowrap; }
td.hook { text-align: right; white-space: nowrap; }
@media print {
  :root { --ground: #ffffff; --ink: #000000; --rule: #000000; --panel: #ffffff; }
  @page { margin: 15mm; }
  body { max-width: none; }
  .pose, tr, svg { break-inside: avoid; }
}
"""


class Html(NamedTuple):
    """A piece of the page, escaped already."""

    text: str

    def __str__(self) -> str:
        return self.text


def _html(name: str, *inside: str | Html, **attributes: str) -> Html:
    """An element; a string inside it is text, and ``class_`` is the attribute ``class``."""
    named = "".join(f' {key.rstrip("_")}="{escape(value)}"' for key, value in attributes.items())
    return Html(f"<{name}{named}>{''.join(_text(one) for one in inside)}</{name}>")


def _text(inside: str | Html) -> str:
    if isinstance(inside, Html):
        return inside.text
    before, after = (" " if part.isspace() else "" for part in (inside[:1], inside[-1:]))
    return f"{before}{escape(one_line(inside), quote=False)}{after}"


def _name(text: str) -> Html:
    """A name that somebody gave: whatever way it reads, the words around it keep theirs."""
    return _html("bdi", text)


def _points(lines: Iterable[str]) -> Html:
    return _html("ul", *(_html("li", line) for line in lines))


def phone_card(job: Job, pose: Pose, date: str) -> bytes:
    """The card of a job's poses, its picture and loads as in ``pose``; UTF-8, well-formed as XML too."""
    subject = subject_of(job, pose, date)
    loads = placard(job, pose)
    head = _html(
        "head",
        Html('<meta charset="utf-8"/>'),
        Html(f'<meta http-equiv="Content-Security-Policy" content="{escape(POLICY)}"/>'),
        Html('<meta name="viewport" content="width=device-width, initial-scale=1"/>'),
        _html("title", f"{TITLE}: {job.name}"),
        _html("style", Html(STYLE)),
    )
    body = _html("body", *_body(subject, loads))
    return f"<!DOCTYPE html>\n{_html('html', head, body, lang='en', dir='ltr')}\n".encode()


def _body(subject: Subject, loads: Placard) -> Iterator[Html]:
    job, pose = subject.job, subject.pose
    head = head_of(TITLE, subject)
    yield _html("p", "Pose ", _name(pose.name), f": {_state_words(subject)}", class_="state")
    yield _html("p", head.approval, class_="warning")
    yield _html("h1", _name(job.name))
    yield _html("p", _name(head.rig), ". ", _name(head.truck), f". Design {design_digest(job)}. {head.date}. {STAYS}")
    yield _html("p", head.caution, class_="warning")
    yield _picture(subject)
    yield _html("h2", "Poses")
    for each in job.poses:
        yield _pose(subject if each is pose else subject_of(job, each, subject.date))
    yield _html("h2", "Loads by pin hole")
    yield from _loads(subject, loads)
    yield _html("h2", "Holds only for")
    yield _html(
        "table",
        *(
            _html("tr", _html("th", name, scope="row"), _html("td", words))
            for name, words in conditions(subject, loads)
        ),
    )
    yield _html("p", LOAD_CONDITIONS)
    yield _html("h2", "Rules")
    yield _points((*HELPER_RULES, *PLACARD_RULES))
    yield _html("h2", "Stop, set down, think again when")
    yield _points(STOP)
    yield _html("h2", "Not known, and assumed")
    facts = [subject.fill(fact) for fact in (*missing(job, pose), *assumed(job, pose))]
    yield _points([*facts, f"{NOT_CHECKED_WORDS} {'; '.join(NOT_CHECKED)}."])
    yield _html("p", head.caution, class_="warning")


def _state_words(subject: Subject) -> str:
    """The state and its reason; the state once where the reason says it too."""
    state, reason = STATE_WORDS[subject.verdict.state], of_verdict(subject.job, subject.pose, subject.verdict)
    return reason if reason.lower().startswith(state.lower()) else f"{state}: {reason}"


def _pose(subject: Subject) -> Html:
    """One pose: how it is set, what hangs, how much of what is allowed that is, and what gives first."""
    job, pose, verdict = subject.job, subject.pose, subject.verdict
    figures = subject.figures
    lines = [
        _html("h3", _name(pose.name)),
        _html("p", _state_words(subject), class_="says"),
        _html("p", pose_words(job, pose, job.units)),
        _html("p", f"On the hook: {subject.masses()}." if pose.loaded else "Nothing on the hook."),
    ]
    if figures.allowed_load_kg is None:
        lines.append(_html("p", f"{subject.permitted_words()}."))
    elif verdict.state not in ("WITHIN", "OVER"):
        lines.append(_html("p", "No load until that is put right."))
    else:
        load, hook_load = subject.figure("allowed_load_kg"), subject.figure("allowed_hook_load_kg")
        lines += [
            _html("p", f"{subject.permitted_words().split(':')[0]}:"),
            _html("p", f"load {load}", class_="figure"),
            _html("p", f"Hook load {hook_load}, rigging counted."),
        ]
    if figures.governing is not None and figures.governing_use is not None:
        used = subject.show(figures.governing_use, "use")
        lines.append(
            _html("p", f"Used in the worst case: {used} of what is allowed. Gives first: {figures.governing.name}.")
        )
    return _html("div", *lines, class_="pose")


def _loads(subject: Subject, loads: Placard) -> Iterator[Html]:
    """The placard's loads, an arm pose a table: nothing is to be moved sideways on a small screen."""
    if loads.problems or not loads.cells:
        problem = subject.fill(loads.problems[0]) if loads.problems else "no pin hole keeps the boom in both saddles."
        yield _html("p", f"No allowed load: {problem}")
        return
    rigging_kg = subject.job.load.rigging_kg.best
    for at, arm_set in enumerate(loads.arm_sets):
        if not loads.proven[at]:
            yield _html("h3", arm_set.name)
            yield _html("p", "NOT PROVEN, no load.")
            continue
        rows = []
        for hole, out_m, row in zip(loads.holes, loads.out_m, loads.cells, strict=True):
            allowed_kg = row[at].allowed_kg
            load = "\N{EM DASH}" if allowed_kg is None else subject.show_down(allowed_kg)
            hook = "" if not allowed_kg else f"hook load {subject.show_down(allowed_kg + rigging_kg)}"
            where = _html("th", f"Hole {hole}, boom out {subject.show(out_m, 'm')}", scope="row")
            rows.append(_html("tr", where, _html("td", load, class_="load"), _html("td", hook, class_="hook")))
        titles = ("pin hole", "load", "with rigging")
        columns = _html("tr", *(_html("th", title, scope="col") for title in titles))
        yield _html("h3", arm_set.name)
        yield _html("table", _html("thead", columns), _html("tbody", *rows))
    if loads.unsettled:
        yield _html("p", "Put right first:")
        yield _points(subject.fill(problem) for problem in loads.unsettled)
    yield _html("p", "\N{EM DASH} : nothing may hang there. Between two arm poses the smaller figure counts.")


def _picture(subject: Subject) -> Html:
    """The side view as drawn on paper, inline."""
    picture = side_picture(subject.job, subject.pose, subject.verdict, PICTURE_WIDE, PICTURE_HIGH)
    box = QRectF(0.0, 0.0, picture.width, picture.height)
    buffer, generator = QBuffer(), QtSvg.QSvgGenerator(QtSvg.QSvgGenerator.SvgVersion.Svg11)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator.setOutputDevice(buffer)
    generator.setResolution(round(UNITS_PER_INCH))
    generator.setSize(box.size().toSize())
    generator.setViewBox(box)
    painter = QPainter(generator)
    picture.painter_at(box)(painter)
    painter.end()
    drawn = bytes(buffer.data().data()).decode("utf-8")
    inside = drawn[drawn.index(">", drawn.index("<svg")) + 1 :].rsplit("</svg>", 1)[0]
    inside = re.sub(r"<(title|desc)>.*?</\1>", "", inside, flags=re.DOTALL)
    words = f"Side view, pose {one_line(subject.pose.name)}"
    view = f"0 0 {round(picture.width)} {round(picture.height)}"
    shown = f'<svg role="img" viewBox="{view}"><title>{escape(words)}</title>{inside}</svg>'
    return _html("div", Html(shown))
