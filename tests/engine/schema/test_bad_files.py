"""Damaged rig files, 4,000 of them: each opens to what it says or is refused with place, expected and got.

``TAILWEIGHT_THOROUGH=1`` damages 10,000 and looks at the verdict of five times as many.

Every file has its seed; a failure names it, and ``spoiled(sample, seed)`` makes the same file again.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import msgspec
import pytest
from spoiling import by_bytes, by_structure, means_the_same

from engine.base.errors import RigFileError
from engine.schema import rig_file
from engine.worst_case.verdict import STATE_WORDS, evaluate
from tests.thoroughness import times

ROOT = Path(__file__).resolve().parents[3]
SAMPLES = tuple(sorted((ROOT / "sample_rigs").glob(f"*{rig_file.SUFFIX}")))
QUICK, ALL = 1_000, times(4_000, 10_000)
LONGEST_S = 1.0
LOOK_AT_VERDICT_EVERY = times(25, 5)


def spoiled(sample: Path, seed: int) -> bytes:
    """The damaged file of this seed."""
    rng = random.Random(f"{sample.name} {seed}")
    data = sample.read_bytes()
    return by_bytes(data, rng) if seed % 2 else by_structure(json.loads(data), rng)


def open_or_refuse(data: bytes, seed: int) -> bool:
    """Read one file and hold it to the promise; whether it opened."""
    started = time.process_time()
    try:
        job = rig_file.decode(data, "f.rig.json")
    except RigFileError as told:
        assert told.where.startswith("f.rig.json") and told.expected and told.got, str(told)
        assert not {"Traceback", "<class", "object at 0x"} & set(str(told).split()) and len(str(told)) < 2000, str(told)
        assert str(told).isprintable(), repr(str(told))
        return False
    finally:
        assert time.process_time() - started < LONGEST_S
    assert means_the_same(json.loads(data.decode("utf-8-sig")), msgspec.to_builtins(job))
    assert rig_file.decode(rig_file.encode(job)) == job
    if seed % LOOK_AT_VERDICT_EVERY == 0:
        assert evaluate(job, job.poses[0]).state in STATE_WORDS
    return True


def run(seeds: range) -> None:
    opened = 0
    for seed in seeds:
        sample = SAMPLES[seed // 2 % len(SAMPLES)]
        try:
            opened += open_or_refuse(spoiled(sample, seed), seed)
        except Exception as wrong:
            raise AssertionError(f"{sample.name}, seed {seed}: {wrong!r}") from wrong
    assert 0.02 * len(seeds) < opened < 0.9 * len(seeds), (
        f"{opened} of {len(seeds)} opened: the damage is too rough or too gentle"
    )


def test_damaged_files_open_to_what_they_say_or_are_refused() -> None:
    run(range(QUICK))


@pytest.mark.slow
def test_many_more_damaged_files_open_to_what_they_say_or_are_refused() -> None:
    run(range(QUICK, ALL))


BIG = """
import resource, sys, time
from engine.schema import rig_file
from engine.base.errors import RigFileError
sample = open(sys.argv[1], "rb").read()
files = {
    "deep lists": b"[" * 1_900_000,
    "deep objects": b'{"name":' * 230_000,
    "deep inside an entry": sample.replace(
        b'"notes": ', b'"notes": ' + b"[" * 900_000 + b"]" * 900_000 + b', "was": ', 1
    ),
    "long list": sample.replace(b'"poses": [', b'"poses": [' + b"1," * 900_000, 1),
    "long list of lists": sample.replace(b'"poses": [', b'"poses": [' + b"[]," * 600_000, 1),
    "many objects": sample.replace(b'"poses": [', b'"poses": [' + b"{}," * 600_000, 1),
    "many texts": sample.replace(b'"poses": [', b'"poses": [' + b'"ab",' * 380_000, 1),
    "many keys": b"{" + b",".join(b'"k%d":1' % n for n in range(140_000)) + b"}",
    "long number": sample.replace(b'"length_m": ', b'"length_m": ' + b"9" * 1_900_000, 1),
    "long fraction": sample.replace(b'"length_m": 0', b'"length_m": 0.' + b"3" * 1_900_000 + b", \\"was\\": 0", 1),
    "long exponent": sample.replace(b'"length_m": 0', b'"length_m": 1e' + b"9" * 1_900_000 + b", \\"was\\": 0", 1),
    "long text": sample.replace(b'"notes": "', b'"notes": "' + b"x" * 1_900_000, 1),
    "long key": sample.replace(b'"notes"', b'"' + b"n" * 1_900_000 + b'"', 1),
    "escapes": sample.replace(b'"notes": "', b'"notes": "' + b"\\\\u0041" * 310_000, 1),
    "spaces": b" " * 1_900_000 + sample[:50_000],
    "zeros": b"\\0" * 1_900_000,
}
used = int(next(line for line in open("/proc/self/status") if line.startswith("VmSize")).split()[1]) * 1024
resource.setrlimit(resource.RLIMIT_AS, (used + 200_000_000, resource.RLIM_INFINITY))
for name, data in files.items():
    started = time.process_time()
    try:
        rig_file.decode(data, "f.rig.json")
        end = "opened"
    except RigFileError as told:
        told_well = told.where and told.expected and told.got and len(str(told)) < 2000
        end = "refused" if told_well else f"badly told: {told}"
    print(f"{time.process_time() - started:.3f}|{name}|{end}")
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the system's own limit on memory is Linux's")
def test_huge_and_deep_files_take_neither_a_second_nor_200_megabytes() -> None:
    done = subprocess.run(
        [sys.executable, "-c", BIG, str(SAMPLES[0])], cwd=ROOT, capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    rows = [line.split("|") for line in done.stdout.splitlines()]
    assert len(rows) == 16
    for took, name, end in rows:
        assert end == "refused" or name == "spaces", (name, end)
        assert float(took) < LONGEST_S, (name, took)
