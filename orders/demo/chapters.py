"""What the demo company's story is made of: one chapter a project, lately and over the last thirteen months."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from quotes.lost_models import LostReason


@dataclass(frozen=True, slots=True)
class Chapter:
    """One project and how far it came. `days` counts back from today to its first quote.

    `end` is a stage of R44; `floors` are files beside this module; `more` changes single steps:

    - `discount`: the share on the total; `approval`: "waiting", "asked_back" or "granted".
    - `alternates`: label, profile, spacing of each; `picked`: the letter that the builder took.
    - `revised`: a second revision two days after the first.
    - `opened`: days after issue on which the builder opened his link; `said`: what was written then; `read`: the
      seller marked it as read.
    - `answer`: days from issue to the builder's answer; `by_link`: he answered by himself.
    - `reason`, `why`: what decided against a declined offer, or what came out when a lapsed one was asked about.
    - `drawings`: "sent", "refused" or "approved" by the builder's link; `deposit`: a part of it came; `due_in`: so many
      days from today the builder needs it, sooner than was promised.
    - `planned_in`, `finished`: how far the shop is; `change`: one came after booking, “offered” or “applied” by now.
    - `claim`: what was wrong on site: “open”, reported there with a photo, or by phone and “replaced”, “credited” or
      “rejected”.
    """

    name: str
    builder: str
    place: str
    floors: tuple[str, ...]
    end: str
    days: int
    more: Mapping[str, Any] = field(default_factory=dict)


ALTERNATES: Final = (
    ("Joists at 12 in for a stiffer floor", "1000S162-54", "12"),
    ("Deeper joists at 24 in", "1200S162-54", "24"),
)
"""Label, profile and spacing of each."""

_STAIR: Final = (
    ("builder", "Can the stair opening move 2 ft toward the street, and does the price stay?"),
    ("staff", "It can. Send us the new place; a move alone changes the price by a few clips."),
    ("builder", "Good. I ask the owner and come back to you this week."),
)
_CRANE: Final = (
    ("builder", "Does freight include a crane? Our street is narrow, the truck cannot turn."),
)  # fmt: skip

LATELY: Final = (
    Chapter("Otter Creek cottage", "tern", "near", ("cottage",), "closed", 74, {"claim": "replaced"}),
    Chapter("Millrace annex", "copper", "middle", ("annex",), "delivered", 34, {"claim": "open"}),
    Chapter("Pine Hollow loft", "quarry", "near", ("loft",), "lapsed", 48, {"opened": 2}),
    Chapter("Harrow Bend studio", "copper", "middle", ("studio",), "cancelled", 44),
    Chapter("Cooper's Yard loft", "hollin", "near", ("loft",), "issued", 28, {"opened": 3}),
    Chapter("Fenwick Row town houses", "hollin", "middle", ("townhouse",), "issued", 26,
            {"revised": True, "opened": 1, "said": _STAIR, "read": True}),
    Chapter("Gate Street loft", "hollin", "near", ("loft",), "loaded", 24),
    Chapter("Alder Falls cottage", "hollin", "near", ("cottage",), "bundled", 21, {"planned_in": 2}),
    Chapter("Bell Yard studio", "tern", "middle", ("studio",), "bundled", 20),
    Chapter("Stony Reach annex", "quarry", "far", ("annex",), "declined", 18,
            {"reason": LostReason.SUPPLIER, "why": "Went with another supplier; the site is far."}),
    Chapter("Marsh Lane house", "hollin", "near", ("house",), "rolling", 17,
            {"finished": 2, "change": "applied"}),
    Chapter("Quarry Street annex", "quarry", "near", ("annex",), "held", 15),
    Chapter("Lookout Way loft", "copper", "far", ("loft",), "released", 12, {"due_in": 2}),
    Chapter("Ferry Road cottage", "quarry", "near", ("cottage",), "booked", 10,
            {"alternates": ALTERNATES[:1], "picked": "A", "by_link": True, "answer": 4, "drawings": "refused"}),
    Chapter("Heron Court studio", "tern", "near", ("studio",), "booked", 8,
            {"answer": 2, "drawings": "approved", "deposit": True, "change": "offered"}),
    Chapter("Copperleaf show cottage", "copper", "near", ("cottage",), "booked", 6, {"drawings": "sent"}),
    Chapter("Mill Bank studio", "tern", "near", ("studio",), "issued", 5, {"opened": 3, "said": _CRANE}),
    Chapter("Weaver's loft", "quarry", "near", ("loft",), "issued", 4,
            {"alternates": ALTERNATES, "opened": 2}),
    Chapter("Orchard Row annex", "quarry", "near", ("annex",), "bid", 3,
            {"discount": "0.09", "approval": "asked_back"}),
    Chapter("Corridor house", "copper", "middle", ("corridor",), "bid", 2,
            {"discount": "0.08", "approval": "waiting"}),
    Chapter("Sexton cottage", "tern", "near", ("cottage",), "bid", 1),
)  # fmt: skip

HISTORY: Final = (
    Chapter("Rookery loft", "copper", "near", ("loft",), "closed", 394, {"answer": 6}),
    Chapter("Three Elms cottage", "hollin", "near", ("cottage",), "closed", 383, {"discount": "0.03"}),
    Chapter("Sawmill studio", "tern", "middle", ("studio",), "declined", 371,
            {"answer": 9, "reason": LostReason.PRICE, "why": "Wood came out cheaper for one room."}),
    Chapter("Glebe Court annex", "quarry", "near", ("annex",), "closed", 352, {"answer": 12}),
    Chapter("Heath Road loft", "copper", "far", ("loft",), "lapsed", 341),
    Chapter("Weir cottage", "tern", "near", ("cottage",), "closed", 326,
            {"discount": "0.07", "approval": "granted", "by_link": True}),
    Chapter("Almond Street studio", "hollin", "middle", ("studio",), "declined", 311,
            {"answer": 5, "reason": LostReason.PLAN, "why": "The owner builds on a slab instead.", "by_link": True}),
    Chapter("Cartwright's house", "hollin", "near", ("house",), "closed", 297, {"revised": True}),
    Chapter("Kiln Lane annex", "quarry", "middle", ("annex",), "closed", 281, {"discount": "0.05"}),
    Chapter("Pound Hill loft", "copper", "far", ("loft",), "declined", 268,
            {"answer": 15, "reason": LostReason.DATE, "why": "He needs the joists in ten days."}),
    Chapter("Bridge End cottage", "tern", "near", ("cottage",), "closed", 250, {"answer": 8}),
    Chapter("Copse Row town houses", "copper", "middle", ("townhouse",), "closed", 236,
            {"discount": "0.06", "approval": "granted", "answer": 11}),
    Chapter("Lower Farm studio", "quarry", "near", ("studio",), "lapsed", 222,
            {"opened": 4, "reason": LostReason.PRICE, "why": "Asked by phone: he found it too dear to answer."}),
    Chapter("Thistle Close loft", "hollin", "near", ("loft",), "closed", 208, {"by_link": True}),
    Chapter("Pottery Yard annex", "quarry", "far", ("annex",), "declined", 194,
            {"answer": 7, "reason": LostReason.PRICE, "why": "Freight to the site eats the difference."}),
    Chapter("Spinney cottage", "tern", "near", ("cottage",), "closed", 181,
            {"alternates": ALTERNATES[:1], "picked": "A"}),
    Chapter("Malthouse loft", "copper", "middle", ("loft",), "closed", 166, {"discount": "0.02"}),
    Chapter("Windmill studio", "hollin", "near", ("studio",), "declined", 152,
            {"answer": 20, "reason": LostReason.PUT_OFF, "why": "The lender stopped the project."}),
    Chapter("Bakehouse annex", "quarry", "near", ("annex",), "cancelled", 139),
    Chapter("Long Meadow house", "hollin", "near", ("house",), "closed", 127,
            {"revised": True, "answer": 6, "claim": "rejected"}),
    Chapter("Tannery cottage", "copper", "middle", ("cottage",), "lapsed", 114),
    Chapter("Chapel Walk loft", "tern", "near", ("loft",), "closed", 101,
            {"answer": 4, "by_link": True, "claim": "credited"}),
    Chapter("Harbor Steps studio", "copper", "far", ("studio",), "declined", 88,
            {"answer": 10, "reason": LostReason.MATERIAL, "why": "His framer brings wood joists of his own."}),
)  # fmt: skip

CHAPTERS: Final = tuple(sorted((*HISTORY, *LATELY), key=lambda chapter: -chapter.days))
"""In the order of their days."""
