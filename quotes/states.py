"""Stages of a quote and the listed moves between them (R44, before booking). Imports nothing of ours."""

from __future__ import annotations

from django.db import models


class QuoteStage(models.TextChoices):
    """Where a quote stands; an order takes over the stage line at `booked`."""

    BID = "bid", "Bid"
    ISSUED = "issued", "Issued"
    BOOKED = "booked", "Booked"
    DECLINED = "declined", "Declined"
    LAPSED = "lapsed", "Lapsed"


# action -> {from: to}
QUOTE_MOVES: dict[str, dict[str, str]] = {
    "issue": {"bid": "issued"},
    "revise": {"issued": "bid", "declined": "bid", "lapsed": "bid"},
    "accept": {"issued": "booked"},
    "decline": {"issued": "declined"},
    "lapse": {"issued": "lapsed"},
}
