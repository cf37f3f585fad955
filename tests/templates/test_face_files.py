"""Templates and static files keep what the content policy, the palette and the vendored list promise."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
STATIC = TOP / "framing" / "common" / "static" / "framing"
TEMPLATES = TOP / "templates"
# Papers and mails are read by no browser under our policy.
PAGES = sorted(
    p for p in TEMPLATES.rglob("*.html") if not {"pdf", "emails"} & set(p.relative_to(TEMPLATES).parts)
)
CSS = (STATIC / "css" / "app.css").read_text(encoding="utf-8")


def rule_tokens(opening: str) -> dict[str, str]:
    """The hexadecimal colour tokens of the first rule that follows `opening` in the style sheet."""
    block = CSS[CSS.index(opening) :]
    return dict(re.findall(r"--([a-z-]+): (#[0-9A-F]{6})", block[: block.index("}")]))


THEMES = {
    "light": rule_tokens(":root {"),
    "dark by the system": rule_tokens(':root:not([data-theme="light"])'),
    "dark by choice": rule_tokens(':root[data-theme="dark"]'),
}
TEXT_PAIRS = [
    *(
        (text, ground)
        for text in ("ink", "quiet", "action", "good", "care", "bad")
        for ground in ("paper", "sheet")
    ),
    *((text, f"{text}-soft") for text in ("action", "good", "care", "bad")),
    *(("ink", f"{tone}-soft") for tone in ("action", "good", "care", "bad")),
    ("on-action", "action"),
    ("on-action", "action-deep"),
]


def luminance(colour: str) -> float:
    """Relative luminance of `#RRGGBB` (WCAG 2.2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_of_black_and_white_is_21() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("text", "ground"), TEXT_PAIRS)
def test_text_can_be_read_in_each_theme(theme: str, text: str, ground: str) -> None:
    tokens = THEMES[theme]
    assert contrast(tokens[text], tokens[ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", ["paper", "sheet"])
def test_lines_that_mean_something_can_be_seen(theme: str, ground: str) -> None:
    assert contrast(THEMES[theme]["edge"], THEMES[theme][ground]) >= 3


def test_the_two_ways_into_the_dark_are_one_palette() -> None:
    assert THEMES["dark by the system"] == THEMES["dark by choice"]
    assert THEMES["dark by choice"].keys() == THEMES["light"].keys()


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(TEMPLATES)))
def test_pages_carry_nothing_the_content_policy_forbids(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert not re.search(r"\sstyle\s*=", text)
    assert not re.search(r"<style\b", text)
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text)
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"\bhx-(on|vals=['\"]js:)", text)
    assert not re.search(r"(?:src|href)=[\"']https?://", text)


def test_vendored_files_are_as_their_makers_published_them() -> None:
    table = (STATIC / "VENDORED.md").read_text(encoding="utf-8")
    listed = dict(re.findall(r"^\| (\S+) \|.*\| ([0-9a-f]{64}) \|$", table, re.MULTILINE))
    found = [*(STATIC / "fonts").glob("*.woff2"), *(STATIC / "js" / "lib").glob("*.js")]
    sums = {str(p.relative_to(STATIC)): hashlib.sha256(p.read_bytes()).hexdigest() for p in found}
    assert sums == listed


@pytest.mark.parametrize(
    "sheet", [STATIC / "css" / "app.css", TEMPLATES / "pdf" / "_print.css"], ids=lambda p: p.name
)
def test_every_font_a_sheet_asks_for_is_there(sheet: Path) -> None:
    asked = re.findall(r"([\w-]+\.woff2)", sheet.read_text(encoding="utf-8"))
    assert len(asked) == 4
    assert [name for name in asked if not (STATIC / "fonts" / name).is_file()] == []


def test_the_page_script_stays_small_and_leaves_no_globals() -> None:
    script = STATIC / "js" / "app.js"
    assert script.stat().st_size < 6144
    assert "window." not in script.read_text(encoding="utf-8")
