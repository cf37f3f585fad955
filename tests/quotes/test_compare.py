"""Two offers compared (R40): an example worked by hand, then what must hold for any two designs."""

import random
from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.document import dump_document, rectangle_document
from framing.engine.members import MemberKind
from framing.engine.pipeline import design_package
from framing.engine.practice import Practice
from framing.projects.design import plan_of
from quotes.compare import builders_part, compare
from quotes.compare_floors import document_changes, floor_changes, value_words
from quotes.compare_members import check_rows, member_changes
from quotes.compare_shapes import Fact, Moved, Offer, OfferFloor, Sum
from quotes.pricing import price_package
from quotes.selectors import DEMO_PLACE, DEMO_ZONE, demo_price_table
from tests.factories.packages import LENGTH_16, PROFILE, bill, floor, package
from tests.quotes.tables import table

D = Decimal


def offer(
    title, result, prices=None, *, documents=(), keys=("f1",), facts=(), zone="near", place="Fallow", **more
):
    """A package with its price as an offer."""
    priced = price_package(
        result, prices or table(), tier="", freight_zone=zone, tax_place=place, discount_share=D(0), **more
    )
    documents = documents or [{"name": entry.plan.name} for entry in result.floors]
    return Offer(
        title,
        tuple(OfferFloor(*each) for each in zip(keys, documents, result.floors, strict=True)),
        priced.lines, priced.goods, priced.freight, priced.tax, priced.total, priced.cost, facts,
    )  # fmt: skip


def four_joists():
    """The hand-made floor without its third joist; the fifth keeps its first hole only; marks are others."""
    whole = floor()
    kept = [replace(member, mark="1J09") for member in whole.members if member.id != "A.J3"]
    kept[-1] = replace(kept[-1], holes_16=(400,))
    lines = {line.code: line for line in bill()}
    lines[PROFILE] = replace(lines[PROFILE], exact=4 * LENGTH_16, bought=39, weight_lb=103.74)
    lines["bearing_clip:1000"] = replace(lines["bearing_clip:1000"], exact=8, bought=8)
    lines["steel_screw"] = replace(lines["steel_screw"], exact=80)
    return replace(
        whole,
        bays=(replace(whole.bays[0], members=tuple(kept)),),
        pieces=tuple(piece for piece in whole.pieces if piece.member != "A.J3"),
        bill=tuple(lines.values()),
    )


@pytest.fixture(scope="module")
def worked():
    """Five joists against four.

    Steel: 5 x 9.75 ft = 48.75 ft at 4.42 = 215.475, 215.48, tax 7.25 % = 15.62; 4 x 9.75 = 39 ft: 172.38, tax 12.50.
    Clips: 10 at 2.05 = 20.50, tax 1.49; 8: 16.40, tax 1.19. Screws: 100 and 80 are one box each.
    Cuts: 5 at 1.85 = 9.25; 4: 7.40; no tax. Holes: 5 x 2 = 10 at 0.65 = 6.50; 3 x 2 + 1 = 7: 4.55; no tax.
    Surcharge: 129.675 lb, 129.7 x 0.035 = 4.54, tax 0.33; 103.74 lb, 103.7 x 0.035 = 3.63, tax 0.26.
    Together before tax -43.10 - 4.10 - 1.85 - 1.95 - 0.91 = -51.91; tax -3.12 - 0.30 - 0.07 = -3.49; total -55.40.
    """
    return compare(offer("R1", package()), offer("R2", package(four_joists())))


def test_money_worked_by_hand(worked):
    rows = {row.code: (row.amount, row.tax, row.why) for row in worked.money}
    assert rows == {
        PROFILE: (D("-43.10"), D("-3.12"), "quantity"),
        "bearing_clip:1000": (D("-4.10"), D("-0.30"), "quantity"),
        "cutting": (D("-1.85"), D(0), "quantity"),
        "punching": (D("-1.95"), D(0), "quantity"),
        "steel_surcharge": (D("-0.91"), D("-0.07"), "quantity"),
    }
    sums = {entry.name: entry.difference for entry in worked.sums}
    assert sums == {"Goods": D("-51.91"), "Freight": D(0), "Tax": D("-3.49"), "Total": D("-55.40")}
    groups = {entry.name: entry.difference for entry in worked.groups}
    assert groups["Joists and framing"] == D("-44.01")
    assert groups["Shop work"] == D("-3.80")
    assert groups["Fasteners"] == 0


def test_materials_worked_by_hand(worked):
    rows = {row.code: (row.was, row.now, row.exact_was, row.exact_now) for row in worked.materials}
    assert rows == {
        PROFILE: (D("48.75"), D(39), D("48.75"), D(39)),
        "bearing_clip:1000": (10, 8, 10, 8),
        "steel_screw": (1, 1, 100, 80),
        "cutting": (5, 4, 5, 4),
        "punching": (10, 7, 10, 7),
        "steel_surcharge": (D("129.7"), D("103.7"), D("129.7"), D("103.7")),
    }


def test_joists_worked_by_hand(worked):
    (row,) = worked.joists
    assert (row.floor, row.kind, row.profile, row.plies) == ("Ground floor", MemberKind.JOIST, PROFILE, 1)
    assert (row.length_16, row.was, row.now, row.difference) == (LENGTH_16, 5, 4, -1)
    (entry,) = worked.members
    assert entry.changes.removed == {"A.J3"}
    assert entry.changes.added == frozenset()
    assert entry.changes.changed == (("A.J5", "A.J5"),), "a hole went"


def test_marks_alone_are_no_difference():
    whole = floor()
    renamed = replace(
        whole,
        bays=(
            replace(
                whole.bays[0], members=tuple(replace(m, mark="9J99", id=f"Z{m.id}") for m in whole.members)
            ),
        ),
    )
    assert not member_changes(whole, renamed).any


def test_another_profile_at_the_same_place_is_a_changed_member():
    whole = floor()
    first, *rest = whole.members
    deep = replace(
        whole, bays=(replace(whole.bays[0], members=(replace(first, id="n", profile="1200S162-54"), *rest)),)
    )
    changes = member_changes(whole, deep)
    assert (changes.added, changes.removed, changes.changed) == (frozenset(), frozenset(), (("A.J1", "n"),))
    shorter = replace(
        whole, bays=(replace(whole.bays[0], members=(replace(first, high_16=first.high_16 - 96), *rest)),)
    )
    assert member_changes(whole, shorter).changed == (("A.J1", "A.J1"),)


def test_a_floor_alone_is_all_added_or_all_removed():
    whole = floor()
    ids = frozenset(member.id for member in whole.members)
    assert member_changes(None, whole).added == ids
    assert member_changes(whole, None).removed == ids


def test_repeats_count_in_the_joists_and_floors_come_and_go_by_key():
    was = offer("R1", package(floor("Low"), floor("Typical", repeat=2)), keys=("f1", "f2"))
    now = offer("R2", package(floor("Typical", repeat=3), floor("Attic")), keys=("f2", "f3"))
    found = compare(was, now)
    assert [(change.name, change.kinds) for change in found.floors] == [
        ("Attic", ("added",)),
        ("Low", ("removed",)),
    ]
    rows = {row.floor: (row.was, row.now) for row in found.joists}
    assert rows == {"Typical": (10, 15), "Attic": (0, 5), "Low": (5, 0)}


def test_a_check_that_fails_now_is_a_new_failure():
    was, now = OfferFloor("f", {}, floor()), OfferFloor("f", {}, floor(passes=False))
    (row,) = check_rows([(was, now)])
    assert row.new_failure
    assert (row.title, round(row.was.ratio, 3), round(row.now.ratio, 3)) == ("Joists", 0.643, 1.286)
    (back,) = check_rows([(now, was)])
    assert not back.new_failure
    assert list(check_rows([(now, now)])) == []
    (fresh,) = check_rows([(None, now)])
    assert fresh.new_failure


def test_documents_differ_in_words():
    was = {"name": "First", "repeat": 1, "bays": [{"id": "A", "spacing": "16", "profile": None}],
           "openings": [{"id": "S1", "name": "Stair", "corner": ["4'", "4'"]}],
           "load_case": {"live_psf": 40}}  # fmt: skip
    now = {"name": "Ground", "repeat": 2, "bays": [{"id": "A", "spacing": "12", "profile": "1000S162-54"}],
           "openings": [], "load_case": {"live_psf": 50}}  # fmt: skip
    assert list(document_changes(was, now)) == [
        Moved("Name", "First", "Ground"),
        Moved("Repeat", "1", "2"),
        Moved("Bay A, spacing", "16", "12"),
        Moved("Bay A, profile", "", "1000S162-54"),
        Moved("Opening S1", "id S1, name Stair, corner 4', 4'", ""),
        Moved("Loads, live, psf", "40", "50"),
    ]
    one = floor()
    (change,) = floor_changes([(OfferFloor("f", was, one), OfferFloor("f", now, one))])
    assert change.kinds == ("renamed", "changed")
    (named,) = floor_changes([(OfferFloor("f", was, one), OfferFloor("f", was | {"name": "Other"}, one))])
    assert named.kinds == ("renamed",)


def test_words_of_a_value_are_short_and_plain():
    assert value_words([["0", "0"], ["24'", "0"]]) == "0, 0; 24', 0"
    square = [["0", "0"], ["24'", "0"], ["24'", "14' 6\""], ["0", "14' 6\""]]
    assert value_words(square, "outline") == "24' by 14' 6\""
    assert value_words([*square[:3], ["1'", "14' 6\""]], "outline").startswith("0, 0; 24', 0; ")
    assert value_words(["3' 6\"", "11'"], "size") == "3' 6\" by 11'"
    assert value_words(True) == "yes"
    assert value_words({"a_b": None, "c": 2}) == "c 2"
    assert len(value_words("x" * 500)) == 120


def test_terms_that_moved_and_what_a_builder_sees():
    book = (Fact("Price book", "Demo 1", inside=True), Fact("Lead time", "21 days"), Fact("Terms", "Net 10."))
    later = (
        Fact("Price book", "Demo 2", inside=True),
        Fact("Lead time", "14 days"),
        Fact("Terms", "Net 10."),
    )
    whole = compare(offer("R1", package(), facts=book), offer("R2", package(four_joists()), facts=later))
    assert whole.facts == (
        Moved("Price book", "Demo 1", "Demo 2", inside=True),
        Moved("Lead time", "21 days", "14 days"),
    )
    part = builders_part(whole)
    assert part.facts == (Moved("Lead time", "21 days", "14 days"),)
    assert part.cost == Sum("Cost", D(0), D(0))
    assert (part.money, part.checks) == ((), ())
    assert whole.cost.difference != 0
    assert {row.group for row in part.materials} == {"members", "hardware", "fasteners"}
    assert part.total == whole.total


def test_a_price_alone_moves_money_and_no_material():
    dear = table(rows={**table().rows, "strap": replace(table().rows["strap"], price=D("0.60"))})
    found = compare(offer("R1", package()), offer("R2", package(), dear))
    (row,) = found.money
    # 9 ft: 5.22 and 5.40; tax 0.37845, 0.38 and 0.3915, 0.39
    assert (row.code, row.why, row.amount, row.tax) == ("strap", "price", D("0.18"), D("0.01"))
    assert (found.materials, found.joists, found.members, found.floors) == ((), (), (), ())


# --- any two designs ---


def designed(rng, title):
    """A package of one or two floors by chance, priced from the demo book."""
    documents, keys = [], []
    for number in sorted(rng.sample(range(3), rng.randint(1, 2))):
        made = rectangle_document(
            name=f"Floor {number}", width=f"{rng.randint(8, 20)}'", depth=f"{rng.randint(10, 16)}'",
            direction=rng.choice("xy"), spacing=rng.choice(["12", "16", "19.2", "24"]),
        )  # fmt: skip
        documents.append({**dump_document(made), "repeat": rng.randint(1, 3)})
        keys.append(f"f{number}")
    practice = Practice()
    result = design_package([plan_of(d, practice) for d in documents], load_catalogue(), practice)
    prices = demo_price_table()
    return offer(
        title,
        result,
        prices,
        documents=documents,
        keys=keys,
        zone=DEMO_ZONE,
        place=DEMO_PLACE,
        practice=practice,
    )


def joists(one):
    found = Counter()
    for entry in one.floors:
        for member in entry.result.members:
            key = (entry.name, member.kind, member.profile, member.plies, member.length_16)
            found[key] += entry.result.plan.repeat
    return found


@pytest.fixture(scope="module")
def pairs(scale):
    rng = random.Random(42)  # noqa: S311  # made-up floors, not secrets
    return [(designed(rng, "R1"), designed(rng, "R2")) for _ in range(max(6, int(40 * scale)))]


def test_what_is_compared_with_itself_is_empty(pairs):
    for was, now in pairs:
        assert compare(was, was).is_empty
        assert compare(now, now).is_empty


def test_differences_applied_to_the_first_give_the_second(pairs):
    for was, now in pairs:
        found = compare(was, now)
        counts = joists(was)
        for row in found.joists:
            counts[row.floor, row.kind, row.profile, row.plies, row.length_16] += row.difference
        assert +counts == joists(now)
        bought = {(line.code, line.sold_by): line.quantity for line in was.lines if line.group != "discount"}
        for row in found.materials:
            key = (row.code, row.unit)
            assert bought.get(key, D(0)) == row.was
            bought[key] = bought.get(key, D(0)) + row.difference
        after = {(line.code, line.sold_by): line.quantity for line in now.lines if line.group != "discount"}
        assert {key: amount for key, amount in bought.items() if amount} == after


def test_members_moved_turn_one_floor_into_the_other(pairs):
    for was, now in pairs:
        before = {floor.key: floor for floor in was.floors}
        moved = {entry.key: entry.changes for entry in compare(was, now).members}
        for entry in now.floors:
            if entry.key not in before or entry.key not in moved:
                continue
            changes = moved[entry.key]
            old, new = places(before[entry.key].result), places(entry.result)
            stayed = Counter(old.values()) - Counter(
                [old[key] for key in changes.removed] + [old[key] for key, _ in changes.changed]
            )
            come = [new[key] for key in changes.added] + [new[key] for _, key in changes.changed]
            assert stayed + Counter(come) == Counter(new.values())


def places(result):
    return {
        member.id: (
            member.kind,
            member.profile,
            member.plies,
            member.plan_ends(layout.frame),
            member.holes_16,
        )
        for layout in result.bays
        for member in layout.members
    }


def test_line_differences_add_up_to_the_totals_difference_to_the_cent(pairs):
    for was, now in pairs:
        found = compare(was, now)
        assert sum(row.difference for row in found.money) == found.total.difference == now.total - was.total
        assert sum(entry.difference for entry in found.groups) == (now.goods + now.freight) - (
            was.goods + was.freight
        )
        back = compare(now, was)
        assert {row.code: row.difference for row in back.money} == {
            row.code: -row.difference for row in found.money
        }


def test_a_metric_floor_tells_its_spacing_in_millimetres() -> None:
    """A metric document keeps an offered spacing in inches, and one that was typed in millimetres as typed."""
    documents = [
        {"name": "First", "units": "metric", "bays": [{"id": "A", "spacing": spacing}]}
        for spacing in ('16"', "406", '24"', "")
    ]
    floors = [OfferFloor("f", document, floor()) for document in documents]

    def told(was: int, now: int) -> list[tuple[str, str, str]]:
        changes = floor_changes([(floors[was], floors[now])])
        return [(m.name, m.was, m.now) for change in changes for m in change.moved]

    assert told(0, 1) == []
    # 24 x 25.4 = 609.6
    assert told(0, 2) == [("Bay A, spacing", "406 mm", "610 mm")]
    assert told(2, 3) == [("Bay A, spacing", "610 mm", "")]
