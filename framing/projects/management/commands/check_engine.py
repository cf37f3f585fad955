"""Hold the sizing engine against printed tables: the shipped ones, or files of the same columns."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from framing.engine.errors import CatalogueRefused
from framing.engine.judging import Comparison, comparison_json, comparison_lines, judge_sections, judge_spans
from framing.engine.tables import data_text

BAD_INPUT = 2
SECTIONS = "published/section_properties.csv"
SPANS = "published/joist_spans.csv"
DERIVED_SPANS = "published/joist_spans_derived.csv"


class Command(BaseCommand):
    help = "Compare the sizing engine with printed section and span tables; exit code 1 where they disagree."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--sections", type=Path, help="CSV of section properties; alone, spans are left out"
        )
        parser.add_argument("--spans", type=Path, help="CSV of joist spans; alone, sections are left out")
        parser.add_argument("--json", action="store_true", help="print JSON in place of tables")

    def handle(self, *args: Any, **options: Any) -> None:
        del args
        try:
            found = compare(options["sections"], options["spans"])
        except CatalogueRefused as refused:
            raise CommandError(refused.message, returncode=BAD_INPUT) from refused
        if options["json"]:
            told = {name: comparison_json(comparison) for name, comparison in found.items()}
            self.stdout.write(json.dumps(told, indent=1))
        else:
            for comparison in found.values():
                self.stdout.write("\n".join(comparison_lines(comparison)))
        wrong = [comparison.file for comparison in found.values() if not comparison.agrees]
        if wrong:
            raise CommandError(f"The engine does not agree with {', '.join(wrong)}.", returncode=1)


def compare(sections: Path | None, spans: Path | None) -> dict[str, Comparison]:
    """Comparisons by kind. Raises CatalogueRefused for a bad table, CommandError for an unreadable file."""
    if sections is None and spans is None:
        return {
            "sections": judge_sections(SECTIONS, data_text(SECTIONS)),
            "spans": judge_spans(SPANS, data_text(SPANS)),
            "spans_derived": judge_spans(DERIVED_SPANS, data_text(DERIVED_SPANS)),
        }
    found = {}
    if sections is not None:
        found["sections"] = judge_sections(str(sections), read_text(sections))
    if spans is not None:
        found["spans"] = judge_spans(str(spans), read_text(spans))
    return found


def read_text(path: Path) -> str:
    """Text of a file. Raises CommandError where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise CommandError(f"{path}: is not UTF-8 text.", returncode=BAD_INPUT) from error
    except OSError as error:
        raise CommandError(f"{path}: {error.strerror}.", returncode=BAD_INPUT) from error
