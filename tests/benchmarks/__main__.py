"""``python -m tests.benchmarks`` measures everything and prints the table."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from app.start import screen

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
screen.paint_on_one_thread()  # as the program does

from tests.benchmarks import dragging, filing, planning, starting, sweeps, verdicts  # noqa: E402
from tests.benchmarks.effort import FULL, SHORT, Effort  # noqa: E402
from tests.benchmarks.table import Row, as_json, markdown, plain, written_into  # noqa: E402

GROUPS: dict[str, Callable[[Effort], Iterator[Row]]] = {
    "engine": verdicts.measure,
    "sweep": sweeps.measure,
    "plan": planning.measure,
    "files": filing.measure,
    "start": starting.measure,
    "drag": dragging.measure,
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, then print or write the table."""
    options = _parser().parse_args(arguments)
    rows: list[Row] = []
    for name in options.only or GROUPS:
        print(f"measuring: {name}", file=sys.stderr, flush=True)
        rows += GROUPS[name](SHORT if options.short else FULL)
    if options.write:
        options.write.write_text(
            written_into(options.write.read_text(encoding="utf-8"), markdown(rows)), encoding="utf-8"
        )
    else:
        print(as_json(rows) if options.json else markdown(rows) if options.markdown else plain(rows))
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks", description="How fast everything is, in one table."
    )
    parser.add_argument("--short", action="store_true", help="each thing a few times only")
    parser.add_argument("--only", action="append", choices=tuple(GROUPS), help="this group alone; may be said again")
    out = parser.add_mutually_exclusive_group()
    out.add_argument("--json", action="store_true", help="print JSON")
    out.add_argument("--markdown", action="store_true", help="print Markdown")
    out.add_argument("--write", metavar="FILE", type=Path, help="put the Markdown between the markers of a document")
    return parser


if __name__ == "__main__":  # the working process of a window imports this module again
    sys.exit(main())
