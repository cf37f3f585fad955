"""One key, one effect, one answer (R39's money verbs lean on it)."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

import pytest
from django.db import connections, transaction

from framing.common.actors import SYSTEM
from framing.common.errors import KeyMissing, Refused
from framing.common.idempotency import claim_key
from framing.common.models import IdempotencyKey, NumberSeries


def act(key: str, body: dict[str, int]) -> int:
    """A money verb in small: each effect raises a counter."""
    with transaction.atomic():
        claim = claim_key(actor=SYSTEM, verb="count", key=key, body=body)
        if claim.done:
            return int(claim.result["count"])
        row, _ = NumberSeries.objects.get_or_create(series="X", year=2026)
        row = NumberSeries.objects.select_for_update().get(pk=row.pk)
        row.last += 1
        row.save()
        claim.finish({"count": row.last})
        return row.last


@pytest.mark.django_db
def test_the_same_key_again_gives_the_same_answer_and_no_second_effect() -> None:
    assert [act("k1", {"a": 1}), act("k1", {"a": 1}), act("k2", {"a": 1})] == [1, 1, 2]


@pytest.mark.django_db
def test_the_same_key_for_another_body_is_refused() -> None:
    act("k1", {"a": 1})
    with pytest.raises(Refused, match="another act"):
        act("k1", {"a": 2})


@pytest.mark.django_db
@pytest.mark.parametrize("key", ["", "x" * 81])
def test_a_money_verb_needs_a_key(key: str) -> None:
    with pytest.raises(KeyMissing, match="1 to 80"):
        act(key, {})
    assert not IdempotencyKey.objects.exists()


@pytest.mark.django_db
def test_an_act_that_failed_leaves_its_key_free() -> None:
    with suppress(RuntimeError), transaction.atomic():
        claim_key(actor=SYSTEM, verb="count", key="k1", body={})
        raise RuntimeError
    assert act("k1", {}) == 1


@pytest.mark.django_db(transaction=True)
def test_equal_posts_at_once_have_one_effect_and_one_answer() -> None:
    def post(_: int) -> int:
        try:
            return act("k1", {"a": 1})
        finally:
            connections.close_all()

    with ThreadPoolExecutor(10) as pool:
        answers = list(pool.map(post, range(50)))
    assert set(answers) == {1}
    assert NumberSeries.objects.get(series="X").last == 1
