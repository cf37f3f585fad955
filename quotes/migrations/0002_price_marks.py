"""What is given at no charge says why; nothing is free by silence (R38)."""

from django.db import migrations, models

NO_CHARGE = {
    "blank": True,
    "help_text": "Why it is given at no charge; empty where it has a price.",
    "max_length": 200,
}


def price_or_gift(price):
    q = models.Q
    return q(**{f"{price}__gt": 0, "no_charge": ""}) | (q(**{price: 0}) & ~q(no_charge=""))


class Migration(migrations.Migration):
    dependencies = [("quotes", "0001_initial")]

    operations = [
        migrations.AddField(
            "freightrate", "no_charge", models.CharField(default="", **NO_CHARGE), preserve_default=False
        ),
        migrations.AddField(
            "priceitem", "no_charge", models.CharField(default="", **NO_CHARGE), preserve_default=False
        ),
        migrations.RemoveConstraint("priceitem", "price_positive"),
        migrations.RemoveConstraint("freightrate", "freight_not_negative"),
        migrations.AddConstraint(
            "priceitem",
            models.CheckConstraint(
                condition=price_or_gift("price") & models.Q(cost__gte=0), name="price_positive"
            ),
        ),
        migrations.AddConstraint(
            "freightrate",
            models.CheckConstraint(
                condition=price_or_gift("price_per_truck") & models.Q(cost_per_truck__gte=0),
                name="freight_not_negative",
            ),
        ),
    ]
