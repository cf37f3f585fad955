"""What a paper says, part by part, so that it can be held against what it would say now; pure.

A part is what gets crossed off on the shop's way: a bundle's turn on a cut list, a piece of it to be made again. How
far the shop is, which plan's number stands in the head and where on a sheet the labels begin is no fact.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final

from orders.states import ShopPaperKind

_HEAD: Final = {
    ShopPaperKind.CUT_LIST: ("line", "day", "order", "project"),
    ShopPaperKind.PACKING_LIST: (
        "units", "order", "project", "builder", "site", "deliver_on", "cartons", "loose",
    ),
}  # fmt: skip
_LABELS: Final = ("units", "door", "labels")
_PROGRESS: Final = ("change", "again")
"""Of a bundle's turn: `change` follows from the turn before, which may be finished; `again` are parts of their own."""


def digest_of(content: Any) -> str:
    """SHA-256 of a content, the same for equal ones."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class PaperFacts:
    """`head` is a digest of all that is not crossed off; `parts` are names with a digest each, in their order."""

    head: str
    parts: tuple[tuple[str, str], ...] = ()

    @property
    def as_json(self) -> dict[str, Any]:
        return {"head": self.head, "parts": [list(part) for part in self.parts]}

    def left(self, done: Collection[str]) -> PaperFacts:
        """With the parts that are done crossed off."""
        return PaperFacts(self.head, tuple(part for part in self.parts if part[0] not in done))


def facts_from(kept: Mapping[str, Any]) -> PaperFacts:
    """As they were kept with their paper."""
    return PaperFacts(kept["head"], tuple((name, digest) for name, digest in kept["parts"]))


def facts_of(kind: str, content: Mapping[str, Any]) -> PaperFacts:
    """The facts of a content."""
    names = _HEAD.get(ShopPaperKind(kind), _LABELS)
    head = digest_of({name: content[name] for name in names if name in content})
    if kind != ShopPaperKind.CUT_LIST:
        return PaperFacts(head)
    return PaperFacts(head, tuple(part for bundle in content["bundles"] for part in _parts(bundle)))


def _parts(bundle: Mapping[str, Any]) -> list[tuple[str, str]]:
    """A bundle's turn, and after it the pieces of it that are to be made again."""
    name = part_name(bundle["order"], bundle["number"], bundle["profile"])
    turn = {key: value for key, value in bundle.items() if key not in _PROGRESS}
    again = [(f"{name}/{row['id']}", digest_of(row)) for row in bundle.get("again", ())]
    return [(name, digest_of(turn)), *again]


def part_name(order: str, number: int, profile: str = "") -> str:
    """A bundle's turn: “SO-2026-0003/4”; pieces that go in packs, by their profile: “SO-2026-0003/0 550S162-54”."""
    return f"{order}/{number}" if number else f"{order}/0 {profile}"


def order_and_number(name: str) -> tuple[str, int]:
    """Of which order and bundle a part is."""
    order, _, rest = name.partition("/")
    return order, int(rest.split("/")[0].split(" ")[0])


def differing(printed: PaperFacts, now: PaperFacts) -> tuple[str, ...]:
    """Names of the parts that are not the same on both, in the order of what is so now; all where only turns moved."""
    was, here = dict(printed.parts), dict(now.parts)
    names = list(dict.fromkeys([*here, *was]))
    other = tuple(name for name in names if was.get(name) != here.get(name))
    return other or (tuple(names) if printed.parts != now.parts else ())
