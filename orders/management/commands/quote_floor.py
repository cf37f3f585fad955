"""Design and price one floor document: papers, take-off, drawing and result as files; no server, no database."""

from __future__ import annotations

import json
import tempfile
from argparse import ArgumentParser
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.text import slugify

from framing.common.errors import ApplicationError
from framing.common.templatetags.figures import money, pounds, ratio
from orders.documents import manifest_of_package, manifest_render
from quotes.documents import render_quote
from quotes.offline import OfflineQuote, offline_takeoff, quote_floor, read_floor_file
from quotes.snapshots import package_to_json

BAD_INPUT = 2


class Command(BaseCommand):
    help = "Design and price a floor document (JSON) and write its papers and files to a folder."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("floor", type=Path, help="the floor document, at most 1 MB of JSON")
        parser.add_argument("--out", type=Path, required=True, help="folder for the files; made if missing")
        parser.add_argument(
            "--date", type=date.fromisoformat, help="day on the papers, as 2026-11-25; today if not given"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        del args
        day: date | None = options["date"]
        at = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) if day else datetime.now(UTC)
        try:
            quote = quote_floor(read_floor_file(options["floor"]), printed_at=at)
            written = write_files(quote, options["out"], at)
        except ApplicationError as error:
            raise CommandError("\n".join(_lines(error)), returncode=BAD_INPUT) from error
        except OSError as error:
            raise CommandError(f"{options['out']}: {error.strerror}.", returncode=BAD_INPUT) from error
        for line in (*summary(quote), *(f"  {path}" for path in written)):
            self.stdout.write(line)


def _lines(error: ApplicationError) -> list[str]:
    """The refusal, each place on a line of its own where there are several."""
    if isinstance(error.detail, list) and len(error.detail) > 1:
        return [f"{len(error.detail)} things are wrong:"] + [
            f"  {problem['place']}: {problem['message']}" for problem in error.detail
        ]
    return [error.message]


def write_files(quote: OfflineQuote, folder: Path, at: datetime) -> list[Path]:
    """Write all files under the document's name: all are made first, so none is ever half there."""
    name = quote.paper.header.project
    stem = slugify(name) or "floor"
    files = {
        f"{stem}-quote.pdf": render_quote(quote.paper).data,
        f"{stem}-manifest.pdf": manifest_render(
            manifest_of_package(quote.result, name=name, issued_at=at)
        ).data,
        f"{stem}-result.json": json.dumps(package_to_json(quote.result), indent=1).encode() + b"\n",
        **{f"{stem}-{words}": data for words, data in offline_takeoff(quote, at).items()},
    }
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder, prefix=".part-") as half:
        for file_name, data in files.items():
            (Path(half) / file_name).write_bytes(data)
        return [(Path(half) / file_name).rename(folder / file_name) for file_name in files]


def summary(quote: OfflineQuote) -> list[str]:
    """A few lines for the terminal: what was chosen, counted, packed and what it costs."""
    lines = []
    for floor in quote.result.floors:
        joists = sum(line.members for line in floor.schedule if line.kind.value == "J")
        profiles = ", ".join(dict.fromkeys(f"{bay.profile}" for bay in floor.bays))
        worst = max((check.checks[check.governing].ratio for check in floor.checks), default=0.0)
        fits = "all checks pass" if floor.passes else "CHECKS FAIL"
        lines.append(f"{floor.plan.name}: {profiles}, {joists} joists, {len(floor.pieces)} pieces to roll")
        lines.append(f"  {fits}, highest ratio {ratio(worst)}")
        lines += [f"  note: {problem.message}" for problem in floor.warnings]
    weight = sum(load.weight_lb for load in quote.result.loads)
    counts = (
        ("bundle", quote.result.bundles),
        ("carton", quote.result.cartons),
        ("truck", quote.result.loads),
    )
    words = [f"{len(things)} {name}{'' if len(things) == 1 else 's'}" for name, things in counts]
    lines.append(f"  {', '.join(words)}, {pounds(weight)}")
    total = money(quote.paper.total, quote.paper.header.currency)
    lines.append(f"  total {total} by the demo price book, with freight and tax")
    return lines
