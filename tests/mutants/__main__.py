"""``python -m tests.mutants`` runs every mutant and prints which of them the tests killed."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tests.mutants import catalogue, running, sampling


class Trial(NamedTuple):
    """One mutant to run: where it stands, what it says of itself, and the module's mutated source."""

    area: str
    module: str
    change: str
    source: str


def main(arguments: Sequence[str] | None = None) -> int:
    """Exit status 0 when every mutant was killed, 1 when one survived, 2 when the tests fail without a mutant."""
    options = _parser().parse_args(arguments)
    trials = list(_sampled(options) if options.sample else _catalogued(options))
    killed = dict.fromkeys(options.only, 0)
    with running.copied_tree() as tree:
        for area in options.only:
            if running.run_tests(tree, area) != running.PASSED:
                print(f"{area}: the tests fail without a mutant", file=sys.stderr)
                return 2
        for trial in trials:
            dead = running.is_killed(tree, trial.module, trial.source, trial.area)
            killed[trial.area] += dead
            if options.verbose or not dead:
                print(f"{'killed  ' if dead else 'SURVIVED'}  {trial.module}: {trial.change}", flush=True)
    for area, dead in killed.items():
        count = sum(trial.area == area for trial in trials)
        print(f"{area}: {dead} of {count} killed ({100.0 * dead / count if count else 100.0:.0f} %)")
    return 0 if sum(killed.values()) == len(trials) else 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("--only", nargs="+", choices=tuple(running.AREAS), default=tuple(running.AREAS), metavar="AREA")
    parser.add_argument("--sample", type=int, metavar="N", help="so many mutants of each area drawn at random instead")
    parser.add_argument("--seed", type=int, default=1, help="draws other mutants (1)")
    parser.add_argument("-v", "--verbose", action="store_true", help="print the killed ones too")
    return parser


def _catalogued(options: argparse.Namespace) -> Iterator[Trial]:
    for mutant in catalogue.MUTANTS:
        if mutant.area in options.only:
            change = f"{mutant.original}  ->  {mutant.replacement}  ({mutant.why})"
            yield Trial(mutant.area, mutant.module, change, catalogue.mutated_source(running.ROOT, mutant))


def _sampled(options: argparse.Namespace) -> Iterator[Trial]:
    for area in options.only:
        for mutant in sampling.sampled(running.ROOT, area, options.sample, options.seed):
            yield Trial(area, mutant.module, f"line {mutant.line}\n  {mutant.before}\n  {mutant.after}", mutant.source)


if __name__ == "__main__":
    raise SystemExit(main())
