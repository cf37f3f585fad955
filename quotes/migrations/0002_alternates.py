import django.db.models.deletion
import django.db.models.expressions
import pgtrigger.compiler
import pgtrigger.migrations
from decimal import Decimal
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Alternate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("letter", models.CharField(max_length=1)),
                ("label", models.CharField(max_length=80)),
                ("choices", models.JSONField(default=list)),
                ("floors", models.JSONField()),
                ("result", models.JSONField()),
                ("figures", models.JSONField(default=dict)),
                ("goods", models.DecimalField(decimal_places=2, max_digits=12)),
                ("freight", models.DecimalField(decimal_places=2, max_digits=12)),
                ("tax", models.DecimalField(decimal_places=2, max_digits=12)),
                ("total", models.DecimalField(decimal_places=2, max_digits=12)),
                ("cost", models.DecimalField(decimal_places=2, max_digits=12)),
                ("fits", models.BooleanField(help_text="Every member passes its checks.")),
            ],
            options={
                "ordering": ["letter"],
            },
        ),
        migrations.CreateModel(
            name="AlternateLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                ("group", models.CharField(max_length=20)),
                ("code", models.CharField(max_length=80)),
                ("description", models.CharField(max_length=200)),
                (
                    "item_class",
                    models.CharField(
                        choices=[("material", "Material"), ("labour", "Shop work"), ("freight", "Freight")],
                        max_length=12,
                    ),
                ),
                ("exact", models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=12)),
                ("exact_unit", models.CharField(blank=True, max_length=12)),
                ("quantity", models.DecimalField(decimal_places=4, max_digits=12)),
                ("sold_by", models.CharField(max_length=12)),
                ("unit_price", models.DecimalField(decimal_places=4, max_digits=12)),
                ("unit_cost", models.DecimalField(decimal_places=4, max_digits=12)),
                ("tier_share", models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=5)),
                ("extension", models.DecimalField(decimal_places=2, max_digits=12)),
                ("tax", models.DecimalField(decimal_places=2, max_digits=12)),
                ("shares", models.JSONField(default=list)),
                ("explain", models.JSONField(default=list)),
            ],
            options={
                "ordering": ["position"],
            },
        ),
        migrations.AddField(
            model_name="approval",
            name="alternates_seen",
            field=models.CharField(blank=True, max_length=120),
        ),
        migrations.AddField(
            model_name="alternate",
            name="revision",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="alternates",
                to="quotes.quoterevision",
            ),
        ),
        migrations.AddField(
            model_name="acceptance",
            name="alternate",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="quotes.alternate",
            ),
        ),
        migrations.AddField(
            model_name="alternateline",
            name="alternate",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="lines", to="quotes.alternate"
            ),
        ),
        migrations.AddConstraint(
            model_name="alternate",
            constraint=models.UniqueConstraint(fields=("revision", "letter"), name="alternate_letter_once"),
        ),
        migrations.AddConstraint(
            model_name="alternate",
            constraint=models.CheckConstraint(
                condition=models.Q(("letter__in", ("A", "B", "C", "D"))), name="alternate_four_at_most"
            ),
        ),
        migrations.AddConstraint(
            model_name="alternate",
            constraint=models.CheckConstraint(
                condition=models.Q(("label", ""), _negated=True), name="alternate_has_label"
            ),
        ),
        migrations.AddConstraint(
            model_name="alternate",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "total",
                        django.db.models.expressions.CombinedExpression(
                            django.db.models.expressions.CombinedExpression(
                                models.F("goods"), "+", models.F("freight")
                            ),
                            "+",
                            models.F("tax"),
                        ),
                    )
                ),
                name="alternate_adds_up",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="alternate",
            trigger=pgtrigger.compiler.Trigger(
                name="issued_alternate_fixed",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    declare="DECLARE issued timestamptz;",
                    func="SELECT max(issued_at) INTO issued FROM quotes_quoterevision WHERE id IN (OLD.revision_id, NEW.revision_id); IF issued IS NOT NULL THEN RAISE EXCEPTION 'alternates of an issued revision are fixed'; END IF; RETURN COALESCE(NEW, OLD);",
                    hash="7756824cd3a79abb29a5a9c624415cb6faa33a6d",
                    operation="UPDATE OR DELETE OR INSERT",
                    pgid="pgtrigger_issued_alternate_fixed_65e64",
                    table="quotes_alternate",
                    when="BEFORE",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="alternateline",
            constraint=models.UniqueConstraint(fields=("alternate", "position"), name="alternate_line_once"),
        ),
        migrations.AddConstraint(
            model_name="alternateline",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gt", 0)), name="alternate_line_counts"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="alternateline",
            trigger=pgtrigger.compiler.Trigger(
                name="issued_alternate_line_fixed",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    declare="DECLARE issued timestamptz;",
                    func="SELECT max(r.issued_at) INTO issued FROM quotes_quoterevision r JOIN quotes_alternate a ON a.revision_id = r.id WHERE a.id IN (OLD.alternate_id, NEW.alternate_id); IF issued IS NOT NULL THEN RAISE EXCEPTION 'lines of an issued revision are fixed'; END IF; RETURN COALESCE(NEW, OLD);",
                    hash="277cb2ebb3aa00a4e8646090a597dfc12e904eec",
                    operation="UPDATE OR DELETE OR INSERT",
                    pgid="pgtrigger_issued_alternate_line_fixed_e4505",
                    table="quotes_alternateline",
                    when="BEFORE",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="acceptance",
            trigger=pgtrigger.compiler.Trigger(
                name="acceptance_picks_its_own",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (NEW."alternate_id" IS NOT NULL)',
                    func="IF NOT EXISTS (SELECT 1 FROM quotes_alternate WHERE id = NEW.alternate_id AND revision_id = NEW.revision_id) THEN RAISE EXCEPTION 'the alternate belongs to another revision'; END IF; RETURN NEW;",
                    hash="0d106dbf82ec4ede156bceb64bd5798ab6a4f076",
                    operation="INSERT",
                    pgid="pgtrigger_acceptance_picks_its_own_4389f",
                    table="quotes_acceptance",
                    when="BEFORE",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quoterevision",
            trigger=pgtrigger.compiler.Trigger(
                name="issued_alternates_fit",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (NEW."issued_at" IS NOT NULL AND NEW."release_reason" = \'\')',
                    func="IF EXISTS (SELECT 1 FROM quotes_alternate WHERE revision_id = NEW.id AND NOT fits) THEN RAISE EXCEPTION 'an alternate fails its checks and is not released'; END IF; RETURN NEW;",
                    hash="4ad7ee828dde9c0b5e8524101e13c48a5ccabae6",
                    operation="UPDATE",
                    pgid="pgtrigger_issued_alternates_fit_ae25b",
                    table="quotes_quoterevision",
                    when="BEFORE",
                ),
            ),
        ),
    ]
