"""The checklist before release, fact by fact (R44): pure, so no database."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from orders.release_checks import Drawings, ReleaseFacts, release_checks

READY = ReleaseFacts(
    drawings=Drawings.APPROVED,
    drawings_word="Rae Winter",
    deposit_needed=Decimal(0),
    deposit_received=Decimal(0),
    fits=True,
    release_reason="",
    change="",
    held=False,
    site="12 Alder Lane",
    deliver_on=date(2026, 3, 2),
)


def test_an_order_with_everything_is_ready() -> None:
    lines = release_checks(READY)
    assert [line.key for line in lines] == [
        "drawings",
        "deposit",
        "strength",
        "change",
        "held",
        "site",
        "day",
    ]
    assert all(line.ok and not line.todo and not line.who for line in lines)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({"drawings": Drawings.NOT_SENT}, "drawings", "not approved"),
        ({"drawings": Drawings.ASKED}, "drawings", "has not answered"),
        ({"drawings": Drawings.REFUSED, "drawings_word": "stair"}, "drawings", "wants a change: “stair”"),
        ({"deposit_needed": Decimal("0.01")}, "deposit", "not there"),
        ({"deposit_needed": Decimal(5), "deposit_received": Decimal("4.99")}, "deposit", "in part"),
        ({"fits": False}, "strength", "fail"),
        ({"change": "Change order 2"}, "change", "Change order 2 is open"),
        ({"held": True}, "held", "is held"),
        ({"site": " "}, "site", "no address"),
        ({"deliver_on": None}, "day", "No day"),
    ],
)
def test_each_missing_thing_is_one_line_that_says_what_to_do_and_who_can(
    changes: dict[str, Any], key: str, words: str
) -> None:
    lines = release_checks(replace(READY, **changes))
    (missing,) = [line for line in lines if not line.ok]
    assert missing.key == key
    assert words in missing.words
    assert missing.todo.endswith(".")
    assert missing.who


def test_the_engineers_release_and_the_whole_deposit_are_enough() -> None:
    facts = replace(
        READY,
        fits=False,
        release_reason="Header stiffened, K. Ames",
        deposit_needed=Decimal(5),
        deposit_received=Decimal(5),
    )
    lines = {line.key: line for line in release_checks(facts)}
    assert all(line.ok for line in lines.values())
    assert "Header stiffened, K. Ames" in lines["strength"].words


def test_no_line_names_an_amount_for_planners_see_no_prices() -> None:
    facts = replace(READY, deposit_needed=Decimal("4321.09"), deposit_received=Decimal("1234.56"))
    told = " ".join(f"{line.words} {line.todo}" for line in release_checks(facts))
    assert "4321" not in told
    assert "1234" not in told
