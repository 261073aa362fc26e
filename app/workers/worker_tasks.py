"""Questions for the background process: plain functions over the engine, sent by name.

Each returns None when a newer question came (``stop``), and says meanwhile how far it has come.
"""

from __future__ import annotations

from typing import NamedTuple

from app.workers.answering import hand_over, tell
from engine.base.errors import EditError
from engine.base.formatting import show
from engine.base.geometry import Vec
from engine.explain.new_rig_words import new_rig_words, part_lines
from engine.explain.shown import ShownFigures, shown_figures
from engine.explain.why import Statement
from engine.planning.inverse_kinematics import Solution, solutions_to
from engine.planning.load_chart import Chart, chart_at, load_chart
from engine.planning.longest_reach import LongestReach, longest_reach
from engine.planning.mend import Mending
from engine.planning.mend_wanted import Wanted, mend_wanted
from engine.planning.move import Plan
from engine.planning.move import plan as plan_of
from engine.planning.neighbour_sizes import Neighbours, neighbour_sizes
from engine.planning.new_rig import NewRig
from engine.planning.new_rig import new_rig as sized
from engine.planning.reach import ReachMap, View, reach_map
from engine.planning.remedy import Advice, remedies
from engine.planning.stock_search import StockSearch, search
from engine.planning.stock_unused import Unused, why_unused
from engine.planning.stopping import FastestSpeed
from engine.planning.stopping import fastest as fastest_of
from engine.planning.sweep import Stop, Stopped
from engine.planning.two_charts import TwoCharts, two_charts
from engine.planning.two_trucks import Keeps, SideBySide, side_by_side
from engine.schema.model import Job, Move, Pose, Truck
from engine.shop.first_rig import Wish
from engine.worst_case.verdict import evaluate


def chart(job: Job, pose: Pose, stop: Stop) -> Chart | None:
    """The load chart of a job at the usual hook heights, and at that of the pose besides."""
    try:
        return load_chart(job, pose, also_at_pose=True, stop=stop, tell=tell, so_far=hand_over)
    except Stopped:
        return None


def chart_here(job: Job, pose: Pose, stop: Stop) -> Chart | None:
    """Allowed load against reach with the arms and the hook height of a pose."""
    try:
        return chart_at(job, pose, stop=stop, tell=tell)
    except Stopped:
        return None


def next_sizes(job: Job, pose: Pose, roots: tuple[str, ...], stop: Stop) -> tuple[Neighbours, ...] | None:
    """What one size up and one size down of some parts would allow."""
    try:
        return neighbour_sizes(job, pose, roots, stop=stop, tell=tell, so_far=hand_over)
    except Stopped:
        return None


SEEN: dict[View, str] = {"side": "side view", "plan": "plan"}


def reach(job: Job, pose: Pose, views: tuple[View, ...], cell_m: float, stop: Stop) -> tuple[ReachMap, ...] | None:
    """Reach maps at one cell size (m), one for each view."""

    def told(number: int, share: float) -> None:
        tell((number + share) / len(views), f"{SEEN[views[number]]}, cells of {show(cell_m, 'length', job.units)}")

    def of(number: int, view: View) -> ReachMap:
        told(number, 0.0)
        return reach_map(job, pose, view, cell_m, stop, lambda share, _trying="", /: told(number, share))

    try:
        return tuple(of(number, view) for number, view in enumerate(views))
    except Stopped:
        return None


def plan(job: Job, move: Move, stop: Stop) -> Plan | None:
    """A move, checked against every limit on its way."""
    try:
        return plan_of(job, move, stop=stop, tell=tell, so_far=hand_over)
    except Stopped:
        return None


def remedy(job: Job, pose: Pose, stop: Stop) -> Advice | None:
    """What to change about a pose."""
    try:
        return remedies(job, pose, stop=stop, tell=tell, so_far=hand_over)
    except Stopped:
        return None


def mending(job: Job, wanted: Wanted, stop: Stop) -> Mending | None:
    """The smallest changes of parts with which a rig does what is wanted."""
    try:
        return mend_wanted(job, wanted, stop=stop, tell=tell, so_far=hand_over)
    except Stopped:
        return None


def farthest(job: Job, pose: Pose, load_kg: float, stop: Stop) -> LongestReach | None:
    """How far out the hook may be with a load."""
    try:
        return longest_reach(job, pose, load_kg, stop=stop, tell=tell)
    except Stopped:
        return None


def two_trucks(job: Job, truck: Truck, keeps: Keeps, stop: Stop) -> tuple[SideBySide, ...] | None:
    """Every pose of a job on its own truck and on another, with its hook or its forks as high."""
    try:
        return side_by_side(job, truck, keeps, stop=stop, tell=tell)
    except Stopped:
        return None


def charts_of_two_trucks(job: Job, truck: Truck, pose: Pose, stop: Stop) -> TwoCharts | None:
    """The load charts of a job on its own truck and on another, with the arms and the hook height of a pose."""
    try:
        return two_charts(job, truck, pose, stop=stop, tell=tell)
    except Stopped:
        return None


class SizedRig(NamedTuple):
    """What came of a wish, in words besides."""

    found: NewRig
    words: Statement
    parts: tuple[Statement, ...]


def new_rig(wish: Wish, stop: Stop) -> SizedRig | None:
    """A rig for a wish, every part of it sized; the words alone where it is refused."""
    try:
        return in_words(wish, sized(wish, stop=stop, tell=tell))
    except Stopped:
        return None
    except EditError as refusal:
        return SizedRig(NewRig(), Statement(words=refusal.plain, numbers=dict(refusal.numbers)), ())


def in_words(wish: Wish, found: NewRig) -> SizedRig:
    """What came of a wish, with the words for it."""
    return SizedRig(found, new_rig_words(wish, found), () if found.job is None else part_lines(found.job))


def uses(job: Job, stop: Stop) -> ShownFigures | None:
    """How much rig and truck are used in the first pose of a job, in the worst case."""
    if stop():
        return None
    return shown_figures(job, job.poses[0], evaluate(job, job.poses[0]))


def poses_to(job: Job, pose: Pose, target_m: Vec, stop: Stop) -> tuple[Solution, ...] | None:
    """Every pose that brings the hook to a point (m)."""
    try:
        return solutions_to(job, pose, target_m, stop=stop, tell=tell, so_far=hand_over)
    except Stopped:
        return None


def fastest(job: Job, pose: Pose, stop_m: float, stop: Stop) -> FastestSpeed | None:
    """Fastest speed that keeps every limit when the truck stops within a distance (m)."""
    try:
        return fastest_of(job, pose, stop_m, stop)
    except Stopped:
        return None


def rack(job: Job, stop: Stop) -> tuple[StockSearch, tuple[Unused, ...]] | None:
    """Lightest rigs that can be made of the steel on the rack, and why the lightest leaves the rest lying."""
    try:
        found = search(job, stop=stop, tell=tell, so_far=hand_over)
        return found, why_unused(job, found.rigs[0] if found.rigs else found.nearest, stop)
    except Stopped:
        return None
