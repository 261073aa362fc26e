"""Every allowance has a plain reason and says where its start value comes from."""

from __future__ import annotations

import pytest

from engine.schema.model import Policy
from engine.schema.policy_reasons import POLICY_REASONS, UNSOURCED


def test_every_allowance_has_a_reason_and_no_reason_is_left_over():
    assert set(POLICY_REASONS) == set(Policy.__struct_fields__) - {"taken_as_typical"}


@pytest.mark.parametrize("name", sorted(POLICY_REASONS))
def test_each_is_a_sentence_with_a_source_or_says_it_has_none(name):
    reason = POLICY_REASONS[name]
    assert reason.words[0].isupper() and reason.words.endswith(".")
    assert reason.source == UNSOURCED or any(mark in reason.source for mark in ("CFR", "ASME", "EN ", "ISO"))
