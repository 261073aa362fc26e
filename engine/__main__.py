"""``python -m engine``: the command line (``engine.cli.command_line``)."""

from __future__ import annotations

from engine.cli.command_line import main

if __name__ == "__main__":
    raise SystemExit(main())
