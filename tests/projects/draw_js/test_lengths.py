"""R50 as the engine reads it, by the cases that the plan editor is held to as well (tests/e2e/test_draw_modules.py)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from framing.engine.errors import LengthUnreadable
from framing.engine.units import format_length, parse_length

CASES = json.loads((Path(__file__).parent / "lengths.json").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES["read"], ids=lambda case: f"{case['text']}, {case['units']}")
def test_the_engine_reads_a_length_so(case: dict[str, Any]) -> None:
    negative = case.get("negative", False)
    if "reason" in case:
        with pytest.raises(LengthUnreadable) as refused:
            parse_length(case["text"], case["units"], allow_negative=negative)
        assert case["reason"] in refused.value.message
    else:
        assert parse_length(case["text"], case["units"], allow_negative=negative) == case["length_16"]


@pytest.mark.parametrize("case", CASES["write"], ids=lambda case: f"{case['length_16']}, {case['units']}")
def test_the_engine_writes_a_length_so(case: dict[str, Any]) -> None:
    assert format_length(case["length_16"], case["units"]) == case["text"]
