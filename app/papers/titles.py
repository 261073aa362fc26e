"""Titles of the papers by their names: all that a window needs of them until one is asked for."""

from __future__ import annotations

TITLES = {
    "helper": "Helper card",
    "pick": "Pick sheet",
    "placard": "Load placard",
    "build": "Build sheet",
    "approval": "Approval request",
    "proof": "Proof-load plan and record",
    "check": "Hand-check sheet",
    "log": "Log of the rig",
}
