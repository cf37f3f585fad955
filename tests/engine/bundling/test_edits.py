"""The planner's steps on bundles, worked by hand (R32-R35)."""

from __future__ import annotations

import pytest

from framing.engine.bundling.costs import Limits
from framing.engine.bundling.edits import Edited, again, fix, merge, move, split
from framing.engine.bundling.table import (
    Count,
    EditRefused,
    Part,
    Rules,
    Stack,
    can_part,
    counts,
    remarks,
    stacked,
    zone_words,
)

FT = 192
TEN, EIGHT = "1000S162-54", "800S162-54"
RULES = Rules({TEN: Limits(8, 13, 200_000, 4 * FT), EIGHT: Limits(8, 15, 200_000, 4 * FT)}, "imperial")


def parts(
    first: int,
    count: int,
    feet: int = 16,
    *,
    profile: str = TEN,
    lb: int = 40,
    floor: str = "First",
    zone: str = "A",
) -> tuple[Part, ...]:
    """Pieces p<place> in a row of the install sequence."""
    return tuple(
        Part(f"p{place}", place, "1J01", profile, feet * FT, lb * 100, floor, zone)
        for place in range(first, first + count)
    )


def stack(number: int, *held: tuple[Part, ...], fixed: bool = False, started: bool = False) -> Stack:
    return Stack(number, stacked(part for some in held for part in some), fixed, started)


def sizes(edited: Edited) -> dict[int, int]:
    return {one.number: len(one.parts) for one in edited.stacks}


TWO = (stack(1, parts(0, 9)), stack(2, parts(9, 8)))


def test_a_split_leaves_the_lowest_pieces_and_numbers_the_rest_anew() -> None:
    long, short = parts(0, 3, 18), parts(3, 6, 16)
    edited = split((stack(1, short, long), TWO[1]), RULES, number=1, at=3, new=7)
    assert sizes(edited) == {1: 3, 2: 8, 7: 6}
    assert edited.stacks[0].parts == long
    assert edited.stacks[1] is TWO[1], "what the step leaves alone is the same bundle"
    assert edited.words == "Split bundle 1: 3 stay, 6 from the top are bundle 7."


@pytest.mark.parametrize("at", [0, 9, 12])
def test_a_split_at_an_end_is_refused(at: int) -> None:
    with pytest.raises(EditRefused, match=f"after piece 1 to 8 from the bottom, not after {at}"):
        split(TWO, RULES, number=1, at=at, new=7)


def test_one_piece_cannot_be_split() -> None:
    with pytest.raises(EditRefused, match="holds one piece; there is nothing to split"):
        split((stack(1, parts(0, 1)),), RULES, number=1, at=1, new=7)


def test_merging_keeps_the_first_number_and_lays_the_longest_lowest() -> None:
    edited = merge((stack(1, parts(0, 4)), stack(2, parts(4, 3, 18))), RULES, into=1, other=2)
    assert sizes(edited) == {1: 7}
    assert [part.length_16 // FT for part in edited.stacks[0].parts] == [18, 18, 18, 16, 16, 16, 16]
    assert edited.words == "Merged bundle 2 into 1: 7 pieces."


def test_too_many_too_heavy_and_mixed_profiles_are_refused_with_what_to_do() -> None:
    with pytest.raises(EditRefused, match=r"would hold 17 pieces; at most 13 .* Leave out 4 or more"):
        merge(TWO, RULES, into=1, other=2)
    heavy = (stack(1, parts(0, 5, lb=250)), stack(2, parts(5, 4, lb=250)))
    with pytest.raises(
        EditRefused, match=r"would weigh 2,250 lb, over the lift limit of 2,000 lb\. .* least 250 lb"
    ):
        merge(heavy, RULES, into=1, other=2)
    two_kinds = (stack(1, parts(0, 4)), stack(2, parts(4, 4, profile=EIGHT)))
    with pytest.raises(EditRefused, match=r"would hold 1000S162-54 and 800S162-54 \(1J01\)"):
        merge(two_kinds, RULES, into=1, other=2)
    with pytest.raises(EditRefused, match="with itself"):
        merge(TWO, RULES, into=1, other=1)


def test_one_piece_over_the_lift_limit_may_be_moved_to_a_bundle_of_its_own() -> None:
    giant = parts(9, 1, 40, lb=2_100)
    edited = move((stack(1, parts(0, 3)), stack(2, giant)), RULES, keys=["p9"], to=None, new=3)
    assert sizes(edited) == {1: 3, 3: 1}
    (said,) = remarks(edited.stacks[1], (edited.stacks[1],), RULES)[1:]
    assert (said.place, said.message) == (
        "bundles.3.weight",
        "One piece of 2,100 lb, over the lift limit of 2,000 lb.",
    )


def test_pieces_move_from_several_bundles_and_an_empty_one_is_gone() -> None:
    three = (*TWO, stack(3, parts(17, 1)))
    edited = move(three, RULES, keys=["p8", "p17"], to=2, new=9)
    assert sizes(edited) == {1: 8, 2: 10}
    assert edited.words == "Moved 2 pieces from bundle 1, 3 to bundle 2."
    alone = move(TWO, RULES, keys=["p0"], to=None, new=9)
    assert sizes(alone) == {1: 8, 2: 8, 9: 1}
    assert alone.words == "Moved 1 piece from bundle 1 to new bundle 9."


def test_a_move_of_nothing_of_the_unknown_or_to_the_same_place_is_refused() -> None:
    with pytest.raises(EditRefused, match="No piece is chosen"):
        move(TWO, RULES, keys=[], to=2, new=9)
    with pytest.raises(EditRefused, match="1 of the pieces are in no bundle"):
        move(TWO, RULES, keys=["p0", "x"], to=2, new=9)
    with pytest.raises(EditRefused, match="lie in bundle 1 already"):
        move(TWO, RULES, keys=["p0"], to=1, new=9)
    with pytest.raises(EditRefused, match="no bundle 5"):
        move(TWO, RULES, keys=["p0"], to=5, new=9)


def test_a_started_bundle_neither_gives_nor_takes() -> None:
    started = (TWO[0], stack(2, parts(9, 8), started=True))
    for step in (
        lambda: move(started, RULES, keys=["p0"], to=2, new=9),
        lambda: move(started, RULES, keys=["p9"], to=1, new=9),
        lambda: split(started, RULES, number=2, at=3, new=9),
        lambda: fix(started, RULES, number=2, fixed=True),
    ):
        with pytest.raises(EditRefused, match="Bundle 2 is started"):
            step()


def test_fixing_and_freeing() -> None:
    fixed = fix(TWO, RULES, number=2, fixed=True)
    assert [one.fixed for one in fixed.stacks] == [False, True]
    assert fix(fixed.stacks, RULES, number=2, fixed=False).stacks == TWO
    assert (fixed.words, fix(fixed.stacks, RULES, number=2, fixed=False).words) == (
        "Fixed bundle 2.",
        "Freed bundle 2.",
    )
    with pytest.raises(EditRefused, match="is fixed already"):
        fix(fixed.stacks, RULES, number=2, fixed=True)
    with pytest.raises(EditRefused, match="is not fixed"):
        fix(TWO, RULES, number=2, fixed=False)


def test_bundling_anew_leaves_fixed_and_started_ones_and_the_numbers_of_equal_ones() -> None:
    # 17 free pieces as 12 + 5 come out as 9 + 8: each under the number that it shares most pieces with.
    bad = (
        stack(1, parts(0, 12)),
        stack(2, parts(12, 5)),
        stack(3, parts(17, 3), fixed=True),
        stack(4, parts(20, 3), started=True),
    )
    edited = again(bad, RULES, new=9)
    assert sizes(edited) == {1: 9, 2: 8, 3: 3, 4: 3}
    assert edited.stacks[2:] == bad[2:]
    assert edited.words == "Bundled anew: 2 bundles became 2."
    assert again(TWO, RULES, new=9).stacks == TWO


def test_bundling_anew_needs_new_numbers_or_gives_some_up() -> None:
    one = again(
        (stack(4, parts(0, 13), parts(13, 1)),), RULES, new=9
    )  # as many as no rule allows, such as after a change
    assert sorted(sizes(one).values()) == [6, 8]
    assert set(sizes(one)) == {4, 9}
    fewer = again((stack(1, parts(0, 4)), stack(2, parts(4, 4)), stack(3, parts(8, 4))), RULES, new=9)
    assert sizes(fewer) == {1: 12}


def test_bundling_anew_keeps_floors_and_profiles_apart() -> None:
    held = (
        *parts(0, 8),
        *parts(8, 8, floor="Second"),
        *parts(16, 9, profile=EIGHT, floor="Second"),
    )
    edited = again((stack(1, held),), RULES, new=5)
    found = [(len(s.parts), s.profile, s.parts[0].floor) for s in edited.stacks]
    assert sorted(found) == [(8, TEN, "First"), (8, TEN, "Second"), (9, EIGHT, "Second")]


def test_nothing_free_nothing_anew() -> None:
    with pytest.raises(EditRefused, match="free one first"):
        again((stack(1, parts(0, 9), fixed=True),), RULES, new=9)


def test_neater_keeps_pieces_that_follow_each_other_together() -> None:
    # 60 60 40 40 per cent of the lift limit: by ranges three bundles, paired up two
    pieces = tuple(
        Part(f"p{i}", i, "1J01", TEN, 16 * FT, w, "First", "")
        for i, w in enumerate((120_000, 120_000, 80_000, 80_000))
    )
    rules = Rules({TEN: Limits(1, 13, 200_000, 4 * FT)}, "imperial")
    assert len(again((stack(1, pieces),), rules, new=2).stacks) == 2
    assert len(again((stack(1, pieces),), rules, new=2, neater=True).stacks) == 3


# --- what is said of a bundle ---


def said(one: Stack, *others: Stack) -> dict[str, str]:
    return {p.place.rpartition(".")[2]: p.message for p in remarks(one, (one, *others), RULES)}


def test_a_bundle_by_the_rules_is_not_spoken_of() -> None:
    assert said(*TWO) == {}


def test_a_short_bundle_says_why() -> None:
    short = stack(3, parts(20, 3))
    assert said(short) == {"short": "3 of at least 8 pieces. This delivery has only 3 of 1000S162-54."}
    heavy = stack(1, parts(0, 6, lb=300)), stack(2, parts(6, 6, lb=300))
    assert said(*heavy)["short"].endswith("One piece more would pass the lift limit of 2,000 lb.")
    assert said(stack(1, parts(0, 6)), stack(2, parts(6, 8)))["short"].endswith(
        "14 pieces can't be parted into bundles of 8 to 13."
    )
    other_floor = stack(2, parts(6, 10, floor="Second"))
    assert said(stack(1, parts(0, 6)), other_floor)["short"].endswith("go to other floors.")
    longer = stack(2, parts(6, 10, feet=21))
    assert said(stack(1, parts(0, 6)), longer)["short"].endswith("differ by more than 4'-0\" in length.")
    assert said(stack(1, parts(0, 6)), stack(2, parts(6, 10)))["short"].endswith("could join it.")


def test_spread_and_mixed_zones_are_said() -> None:
    mixed = stack(1, parts(0, 5, 16), parts(5, 5, 10, zone="B"))
    assert said(mixed) == {
        "spread": "Lengths differ by 6'-0\", over 4'-0\".",
        "zones": "Serves 2 zones: First: A, B.",
    }


def test_zones_in_words() -> None:
    held = (
        *parts(2, 1, floor="Second"),
        *parts(0, 1, zone="B"),
        *parts(1, 1),
        *parts(3, 1, floor="Attic", zone=""),
    )
    assert zone_words(held) == "First: B, A; Second: A; Attic"


@pytest.mark.parametrize(
    ("count", "possible"), [(7, False), (8, True), (13, True), (14, False), (15, False), (16, True)]
)
def test_which_numbers_can_be_parted(count: int, possible: bool) -> None:
    assert can_part(count, RULES.limits[TEN]) is possible


def test_counts_by_profile() -> None:
    heavy = stack(3, parts(17, 6, lb=300, floor="Second", profile=EIGHT))
    more = stack(4, parts(23, 6, lb=300, floor="Third", profile=EIGHT))
    ten, eight = counts((*TWO, heavy, more), RULES)
    assert ten == Count(TEN, 17, 2, 2, 2, (), by_weight=False)
    assert eight == Count(EIGHT, 12, 2, 2, 2, (3, 4), by_weight=True)
