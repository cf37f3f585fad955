"""Bad input is an answer: bent floor documents and lengths, straight into the engine (B15)."""

from __future__ import annotations

import time
from random import Random
from typing import Any

import pytest

from framing.engine.errors import EngineError
from framing.engine.practice import Practice
from framing.engine.units import Units, format_length, parse_length
from framing.projects.preview import preview_document, preview_json
from tests.fuzz import mutating

SHARDS = 4


def sources(rng: Random, count: int) -> Any:
    known, good = mutating.plans(), mutating.plans("*.json")
    for _ in range(count):
        if rng.random() < 0.25:
            document = mutating.shifted(rng.choice(good), rng, rng.randrange(1, 6))
        else:
            document = mutating.bent(rng.choice(known), rng, rng.randrange(1, 5))
        if rng.random() < 0.1:
            yield mutating.broken_bytes(mutating.encoded(document), rng)
        else:
            yield mutating.encoded(document)


@pytest.mark.parametrize("shard", range(SHARDS))
def test_bent_floors_are_answered(shard: int, scale: float, record_property: Any) -> None:
    rng = mutating.seeded(f"floors {shard}")
    built = refused = 0
    slowest = 0.0
    for source in sources(rng, mutating.many(scale, 0.5) // SHARDS):
        start = time.process_time()
        try:
            preview = preview_document(source, Practice())
            preview_json(preview)
        except Exception as error:
            pytest.fail(f"{type(error).__name__}: {error} on {source[:6000]!r}")
        spent = time.process_time() - start
        slowest = max(slowest, spent)
        built += preview.result is not None
        refused += preview.result is None
        assert preview.result is not None or preview.problems
    record_property("slowest_cpu_s", round(slowest, 2))
    record_property("built", built)
    assert built > 0
    assert refused > 0


def test_nonsense_lengths_are_read_or_refused(scale: float) -> None:
    rng = mutating.seeded("lengths")
    read = 0
    for _ in range(int(10_000 * scale)):
        text = mutating.length(rng) if rng.random() < 0.8 else rng.choice(mutating.WORDS)
        for units in Units:
            try:
                found = parse_length(text, units, allow_negative=True)
            except EngineError:
                continue
            read += 1
            assert parse_length(format_length(found, units), units, allow_negative=True) == found
    assert read > 100 * scale
