"""ruff and pyright find nothing: the configuration stands in pyproject.toml."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def run(*command: str) -> str:
    """What a tool prints; empty where it finds nothing."""
    done = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False)
    return "" if done.returncode == 0 else done.stdout + done.stderr


def test_ruff_finds_nothing() -> None:
    assert run("ruff", "check", "--no-cache", ".") == ""


def test_every_file_is_formatted() -> None:
    assert run("ruff", "format", "--no-cache", "--check", ".") == ""


@pytest.mark.slow
def test_the_types_hold() -> None:
    assert run("pyright", "--pythonpath", sys.executable) == ""
