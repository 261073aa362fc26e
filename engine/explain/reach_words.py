"""The longest reach with a load, in plain words: each place that holds, and what stops the next one further out."""

from __future__ import annotations

from engine.explain.cure_words import no_verdict_words
from engine.explain.why import Statement
from engine.planning.longest_reach import LongestReach, Reached

HOLDS = (
    "{arms}: pin hole {hole}, forks at {lift:length}: the hook is {reach:m} ahead of the front axle; {allowed:kg_down} "
    "is allowed there ({limit} governs)."
)
BEYOND = (
    "One step further out, {arms} in pin hole {hole} at {reach:m}, {limit} allows {allowed:kg_down}. Make it pass says "
    "which parts would have to change."
)
MOST = "Most is allowed with {arms} in pin hole {hole}, at {reach:m}: {allowed:kg_down} ({limit} governs)."
END = "The rig goes no further out: nothing over a limit ends the reach, but the boom and the arms themselves."


def reached_words(spot: Reached) -> Statement:
    """One place that holds."""
    return Statement(words=HOLDS, numbers=_numbers(spot))


def beyond_words(answer: LongestReach) -> Statement:
    """What ends the reach."""
    if answer.problems:
        return no_verdict_words(answer.problems)
    if answer.beyond is None:
        return Statement(words=answer.why_not or END)
    if not answer.found:
        return Statement(words=f"{answer.why_not} {MOST}", numbers=_numbers(answer.beyond))
    return Statement(words=BEYOND, numbers=_numbers(answer.beyond))


def _numbers(spot: Reached) -> dict[str, float | str]:
    return {
        "arms": spot.arm_set,
        "hole": str(spot.pose.hole),
        "lift": spot.pose.lift_m,
        "reach": spot.reach_m,
        "allowed": spot.allowed_kg,
        "limit": spot.limit,
    }
