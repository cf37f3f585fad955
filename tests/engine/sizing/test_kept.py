"""Answers kept by the very inputs."""

from __future__ import annotations

from framing.engine.sizing.kept import Kept


class Thing:
    """Equal to every other, so that only identity tells them apart."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Thing)

    def __hash__(self) -> int:
        return 1


def test_the_same_inputs_are_worked_out_once_and_the_latest_stay() -> None:
    asked: list[Thing] = []

    def answer(thing: Thing) -> str:
        """Says so."""
        asked.append(thing)
        return f"answer {len(asked)}"

    kept = Kept(answer, 2)
    one, two, three = Thing(), Thing(), Thing()
    assert kept.__doc__ == "Says so."
    assert [kept(one), kept(one), kept(two), kept(one)] == ["answer 1", "answer 1", "answer 2", "answer 1"]
    assert kept(three) == "answer 3"  # the first goes
    assert kept(one) == "answer 4"
    kept.cache_clear()
    assert kept(one) == "answer 5"


def test_an_answer_that_is_known_is_not_worked_out() -> None:
    thing = Thing()
    kept = Kept(repr, 1)
    assert kept.keep("known", thing) == "known"
    assert kept(thing) == "known"
