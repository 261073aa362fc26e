"""What the window asks its working process: plain functions over the engine, found there by name."""

from __future__ import annotations

from engine.loadchart import Chart, load_chart
from engine.model import Job, Move, Pose
from engine.move import Plan
from engine.move import plan as plan_of
from engine.reach import ReachMap, View, reach_map
from engine.remedy import Advice, remedies
from engine.sweep import Stop, Stopped


def chart(job: Job, pose: Pose, stop: Stop) -> Chart | None:
    """The load chart of a job, or None when a newer question came."""
    try:
        return load_chart(job, pose, stop=stop)
    except Stopped:
        return None


def reach(job: Job, pose: Pose, views: tuple[View, ...], cell_m: float, stop: Stop) -> tuple[ReachMap, ...] | None:
    """Reach maps at one cell size, or None when a newer question came."""
    try:
        return tuple(reach_map(job, pose, view, cell_m, stop=stop) for view in views)
    except Stopped:
        return None


def plan(job: Job, move: Move, stop: Stop) -> Plan | None:
    """A move held against every limit on the way, or None when a newer question came."""
    try:
        return plan_of(job, move, stop=stop)
    except Stopped:
        return None


def remedy(job: Job, pose: Pose, stop: Stop) -> Advice | None:
    """What to change about a pose, or None when a newer question came."""
    try:
        return remedies(job, pose, stop=stop)
    except Stopped:
        return None
