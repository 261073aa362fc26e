"""How fast Tailweight is, in one table: ``python -m tests.benchmarks``.

Every number stands beside a reference measured in the same run, turn by turn with it, so that a busy machine slows
both. The ratios are what to compare between machines; the milliseconds are one machine's.
"""
