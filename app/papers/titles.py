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
    "drawing": "Drawing to scale",
    "log": "Log of the rig",
}

CARD, CARD_TITLE = "card", "Phone card"
"""The one that is no sheet of paper: a page for a telephone."""

VIEWS = {"side": "Side view", "plan": "Plan", "both": "Side view and plan"}
"""What a drawing to scale may show."""

BIG_PAGES = {"a4": "A4", "a3": "A3", "letter": "US Letter", "tabloid": "US Tabloid"}
"""Pages that a drawing to scale may have, by name."""
