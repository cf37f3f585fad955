"""Things and trucks for plans worked by hand: one lane 20 in wide, five on a deck of 102 in."""

from __future__ import annotations

from dataclasses import replace

from framing.engine.trucks import Dunnage, Effort, LoadTask, Thing, TruckKind

IN, FT = 16, 192
NO_DUNNAGE = Dunnage(height_16=0)
SMALL = TruckKind(
    name="Small",
    deck_length_16=20 * FT,
    deck_width_16=40 * IN,
    payload_lb=10_000,
    stack_height_16=30 * IN,
    tiers=3,
    overhang_16=4 * FT,
)
"""Two lanes of 20 ft, three tiers of 10 in without dunnage: six bundles of 20 ft."""


def thing(
    id: str,  # noqa: A002
    length_ft: float,
    weight_lb: float = 500,
    *,
    stop: int = 1,
    width_in: int = 20,
    height_in: int = 10,
    bears: int | None = None,
    own_place: bool = False,
    pack: bool = False,
) -> Thing:
    return Thing(
        id,
        f"Bundle {id}",
        round(length_ft * FT),
        width_in * IN,
        height_in * IN,
        weight_lb,
        stop,
        bears,
        own_place,
        pack,
    )


def task_of(*things: Thing, kinds: tuple[TruckKind, ...] = (SMALL,), **more: object) -> LoadTask:
    """A task without dunnage whose search never asks the exact model, unless it is told to."""
    task = LoadTask(things, kinds, dunnage=NO_DUNNAGE, effort=Effort(exact=0))
    return replace(task, **more)  # type: ignore[arg-type]
