"""Made-up shops and jobs for tests of the line plan; numbers follow from a seed."""

from __future__ import annotations

from random import Random
from typing import Any

from framing.engine.line import Job, LineTask, RolledProfile, RollLine, Shift

MONDAY = 739_957  # 2026-12-07
WEEK = tuple(Shift(day, 6 * 60, 14 * 60) for day in range(5))
PROFILES = tuple(
    RolledProfile(f"{depth}S{flange}-{mils}", f"{mils} mil", depth * 16 // 100, flange * 16 // 100, mils / 20)
    for depth, flange, mils in [
        (800, 162, 54), (800, 162, 68), (1000, 162, 54), (1000, 200, 68),
        (1200, 162, 54), (1200, 200, 97), (1000, 162, 43), (1200, 250, 68),
    ]
)  # fmt: skip


def lines(count: int) -> tuple[RollLine, ...]:
    """Lines of 100 ft a minute that work Monday to Friday, 06:00 to 14:00."""
    return tuple(RollLine(f"Line {number}", 6_000, WEEK) for number in range(1, count + 1))


def small_shop(jobs: int, line_count: int, seed: int, loose: int = 1) -> LineTask:
    """Long runs and dates that can't all be kept: what is late, and where to change over, must be weighed.

    Due over half of the days that rolling alone takes; `loose` times that, where more can be in time.
    """
    draw = Random(seed)  # noqa: S311 - made-up jobs
    profiles = draw.sample(PROFILES, 6)
    minutes = [draw.randint(60, 240) * line_count for _ in range(jobs)]
    days = max(1, round(loose * sum(minutes) / line_count / 960))
    made = tuple(
        Job(
            f"B-{number:02}", f"Order {number // 3}", draw.choice(profiles).code, length * 100 * 192, 12,
            MONDAY + draw.randint(0, days), draw.choice((1, 1, 2, 3)),
        )
        for number, length in enumerate(minutes)
    )  # fmt: skip
    return LineTask(lines(line_count), PROFILES, made, MONDAY)


def big_shop(jobs: int, line_count: int, seed: int) -> LineTask:
    """Four bundles an order, runs of 5 to 40 minutes, due over 1.4 times the days that rolling alone takes."""
    draw = Random(seed)  # noqa: S311 - made-up jobs
    feet = [draw.randint(500, 4_000) for _ in range(jobs)]
    days = max(1, round(sum(feet) / 100 / line_count / 480 * 1.4))
    calendar = [MONDAY + 7 * (day // 5) + day % 5 for day in range(days + 1)]
    made = tuple(
        Job(
            f"B-{number:03}",
            f"Order {number // 4}",
            draw.choice(PROFILES).code,
            length * 192,
            12,
            draw.choice(calendar),
        )
        for number, length in enumerate(feet)
    )
    return LineTask(lines(line_count), PROFILES, made, MONDAY)


THIN = RolledProfile("1000S162-54", "54 mil", 160, 26, 2.5)
THICK = RolledProfile("1000S162-68", "68 mil", 160, 26, 3.0)
DEEP = RolledProfile("1200S162-54", "54 mil", 192, 26, 3.0)
"""From thin to thick and back is another coil, 25 minutes; from thin to deep another web, 30; else both, 45."""


def job(name: str, profile: RolledProfile, minutes: int, due: int, **more: Any) -> Job:
    """A job of so many minutes on a line of 100 ft a minute, due so many days after the first Monday."""
    facts: dict[str, Any] = {"order": f"Order {name}", "pieces": 12} | more
    return Job(name, profile=profile.code, feet_16=minutes * 100 * 192, due=MONDAY + due, **facts)


def task_of(*jobs: Job, **more: Any) -> LineTask:
    """One line, from Monday on."""
    facts: dict[str, Any] = {"lines": lines(1), "free_from": MONDAY} | more
    return LineTask(profiles=(THIN, THICK, DEEP), jobs=jobs, **facts)
