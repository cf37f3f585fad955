"""The phase of the common grid of holes (R10): by hand, and against trying every phase plainly."""

from __future__ import annotations

from random import Random

import pytest

from framing.engine.layout.hole_grid import Pattern, best_phase
from framing.engine.members import MemberKind

PITCH = 384
FAR = 1 << 40


def _pattern(low: int, high: int, *kept_off: tuple[int, int], kind: MemberKind = MemberKind.JOIST) -> Pattern:
    return Pattern(kind, low, high, tuple((a, b, "bearing") for a, b in kept_off))


def test_one_joist_gets_as_many_lines_as_fit() -> None:
    # Holes may stand from 250 to 1402 (both allowed): 1152 is three pitches, so four holes fit, at 250 alone;
    # 250 - 384 is phase 250, no whole inch (240 or 256 give three).
    joist = _pattern(24, 1628, (-FAR, 250), (1402, FAR))
    assert best_phase([joist], PITCH, 0) == 250


def test_a_whole_inch_comes_first_among_equals() -> None:
    # One sixteenth more room at the low end: 249 and 250 both give four; neither is a whole inch, the less wins.
    assert best_phase([_pattern(24, 1628, (-FAR, 249), (1402, FAR))], PITCH, 0) == 249
    # From 250 to 1410 there is room for four from 250 to 258: 256 is a whole inch.
    assert best_phase([_pattern(24, 1628, (-FAR, 250), (1410, FAR))], PITCH, 0) == 256


def test_overlapping_barred_stretches_count_once() -> None:
    joist = _pattern(0, 800, (-FAR, 200), (150, 300), (290, 301), (600, FAR))
    assert joist.barred() == [(1, 300), (601, 799)]


@pytest.mark.parametrize(("count", "rounds"), [(2, 12), (7, 4), (50, 2)])
def test_no_other_phase_is_better(count: int, rounds: int) -> None:
    random = Random(count)  # noqa: S311 - made-up floors, no secrets
    for _ in range(rounds):
        patterns = [_random_pattern(random) for _ in range(count)]
        origin = min(pattern.low_16 for pattern in patterns) - 24
        wanted = min(range(PITCH), key=lambda o: (*_score(patterns, origin + o), o % 16 != 0, o))
        assert best_phase(patterns, PITCH, origin) == origin + wanted


def _random_pattern(random: Random) -> Pattern:
    low = random.randrange(-300, 800)
    high = low + random.randrange(20, 3000)
    kept = [(-FAR, low + random.randrange(0, 200)), (high - random.randrange(0, 200), FAR)]
    for _ in range(random.randrange(0, 3)):
        centre = random.randrange(low, high)
        kept.append((centre - random.randrange(1, 250), centre + random.randrange(1, 250)))
    return _pattern(low, high, *kept, kind=random.choice([MemberKind.JOIST, MemberKind.TRIMMER]))


def _score(patterns: list[Pattern], phase: int) -> tuple[int, int, int]:
    """Straight from R10: minus lines common to all, marks, minus holes."""
    total, common, marks = 0, dict[int, bool](), set()
    for pattern in patterns:
        first = pattern.low_16 + 1
        lines = range(first + (phase - first) % PITCH, pattern.high_16, PITCH)
        fits = {x: not any(a < x < b for a, b, _ in pattern.kept_off) for x in lines}
        for line, fit in fits.items():
            common[line] = fit and common.get(line, True)
        holes = tuple(x - pattern.low_16 for x in lines if fits[x])
        total += len(holes)
        marks.add((pattern.kind, pattern.high_16 - pattern.low_16, holes))
    return -sum(common.values()), len(marks), -total
