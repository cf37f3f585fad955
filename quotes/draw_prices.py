"""The price of a floor while it is drawn: goods by the price book in force, without freight and sales tax."""

from __future__ import annotations

from decimal import Decimal

from framing.common.errors import Refused
from framing.engine.catalogue import load_catalogue
from framing.engine.pipeline import ENGINE_VERSION
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, PackageResult
from framing.projects.models import Project
from quotes.pricing import MissingPrices, price_package
from quotes.selectors import price_book_in_force, price_table, site_zone


def price_drawn(result: FloorResult, practice: Practice, project: Project) -> dict[str, str]:
    """Goods of one designed floor, times its repeats, for the project's builder and site.

    `total` is "" where there is no price; `words` then say why, else what the total is. Nothing is raised.
    """
    try:
        book = price_book_in_force()
        table = price_table(book)
        priced = price_package(
            _package_of(result, practice),
            table,
            tier=project.builder.tier,
            freight_zone=site_zone(project.site, book),
            tax_place=project.site.tax_place,
            discount_share=Decimal(0),
            practice=practice,
        )
    except Refused as error:
        return {"total": "", "words": error.message}
    except MissingPrices as error:
        missing = ", ".join(entry.words for entry in error.missing)
        return {"total": "", "words": f"The price book lacks what this floor needs: {missing}."}
    repeat = result.plan.repeat
    goods = "goods of this floor" if repeat == 1 else f"goods of the {repeat} equal floors"
    words = f"{table.currency}, {goods} by {table.name} {table.version}, before freight and sales tax"
    return {"total": f"{priced.goods:,.2f}", "words": words}


def _package_of(result: FloorResult, practice: Practice) -> PackageResult:
    """One floor, not bundled or loaded: its goods do not depend on that."""
    return PackageResult(
        engine_version=ENGINE_VERSION,
        catalogue_version=load_catalogue().version,
        practice_name=practice.name,
        practice_version=practice.version,
        floors=(result,),
        bundles=(),
        cartons=(),
        loads=(),
        notes=(),
    )
