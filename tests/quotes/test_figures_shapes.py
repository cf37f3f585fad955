"""How figures follow from sums: whatever the sums are, months make the total and shares stay shares."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from quotes.figures_shapes import DECIDED, LOST, WON, Earned, Figures, Rate, Reason, Sums, Tally, figures_of

MONTHS = tuple(date(2026, month, 1) for month in range(1, 13))
money = st.decimals(0, 10**8, places=2)
tallies = st.builds(Tally, st.integers(1, 500), money)
sums = st.builds(
    Sums,
    quoted=st.dictionaries(st.sampled_from(MONTHS), tallies),
    decided=st.dictionaries(st.tuples(st.sampled_from(DECIDED), st.sampled_from(MONTHS)), tallies),
    reasons=st.lists(st.builds(Reason, st.just("price"), st.just("The price"), tallies)).map(tuple),
    earned=st.none()
    | st.dictionaries(st.sampled_from(MONTHS), st.builds(Earned, st.integers(1, 9), money, money)),
)


@given(sums)
def test_months_make_the_total_and_shares_lie_within_one(found):
    figures = figures_of("USD", MONTHS, found)
    assert [month.first for month in figures.months] == list(MONTHS)
    assert sum((month.quoted for month in figures.months), Tally()) == figures.quoted
    assert sum((month.booked for month in figures.months), Tally()) == figures.won
    assert sum((month.lost for month in figures.months), Tally()) == figures.lost
    assert figures.won + figures.lost == figures.decided
    assert figures.decided.count == sum(tally.count for tally in found.decided.values())
    for rate in (figures.rate_by_count, figures.rate_by_value):
        assert rate.share is None or 0 <= rate.share <= 1
    if figures.earned is None:
        assert all(month.earned is None for month in figures.months)
    else:
        assert sum((m.earned for m in figures.months if m.earned), Earned()) == figures.earned
        assert figures.earned.margin is None or figures.earned.margin <= 1


@given(st.lists(sums, min_size=1, max_size=4))
def test_the_rate_over_currencies_counts_each_quote_once(found):
    currencies = tuple(figures_of(f"C{place}", MONTHS, each) for place, each in enumerate(found))
    figures = Figures(currencies, 0, None, "all")
    assert figures.rate.decided == sum(figures.count(stage) for stage in DECIDED)
    assert figures.rate.won == figures.count(WON)
    assert figures.rate.decided - figures.rate.won == sum(figures.count(stage) for stage in LOST)


def test_nothing_decided_has_no_rate():
    assert Rate(Decimal(0), Decimal(0)).share is None
    assert Earned().margin is None
    empty = figures_of("USD", MONTHS[:1], Sums({}, {}, (), None))
    assert empty.rate_by_value.share is None
    assert empty.months[0].quoted == Tally()
