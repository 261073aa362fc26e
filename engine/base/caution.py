"""The words that stand over everything said of a rig: in the window, in every text, on every paper."""

from __future__ import annotations

SIGNAL_WORD = "WARNING"
CAUTION = (
    "Planning help only. The truck maker's written approval, local law and a licensed engineer's work come first. "
    "Never lift people."
)
NOT_APPROVED = "NOT APPROVED: planning only"
"""Shown wherever no approval reference, date and limits are entered."""
