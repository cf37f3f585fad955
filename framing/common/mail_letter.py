"""Laying a mail: the company's plain words in our own layout, as text and as HTML, with a mark for the link."""

from __future__ import annotations

import re
from base64 import b64encode
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from django.http.response import HttpResponseBase
from django.template.loader import render_to_string

from framing.common.company import company
from framing.common.mail_words import clean_text, plain_line

# Stands in stored texts where the link's address goes; it can't be typed, for control signs are refused.
LINK_MARK: Final = "\x02link\x02"
CUT_LINE: Final = "Please write above this line"


_STYLE: Final = re.compile(r"<style>(.*?)</style>", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail's subject and both of its bodies."""

    subject: str
    text: str
    html: str

    def with_link(self, address: str) -> Letter:
        """The letter with an address in the mark's place; the address is of our own making, without odd signs."""
        return Letter(
            self.subject, self.text.replace(LINK_MARK, address), self.html.replace(LINK_MARK, address)
        )


def show_letter(response: HttpResponseBase, letter: Letter | None) -> None:
    """Let a page show a letter's HTML in a frame without rights: of all inline styles the letter's own one counts.

    The frame has no address, so it lives under the page's own policy.
    """
    styles = _STYLE.findall(letter.html) if letter else []
    digests = [b64encode(sha256(words.encode()).digest()).decode() for words in styles]
    if digests:
        response._csp_update = {"style-src": [f"'sha256-{digest}'" for digest in digests]}  # type: ignore[attr-defined]


def lay(subject: str, words: str, *, link_words: str = "Open the quote", replies: bool = False) -> Letter:
    """Lay plain words out. A paragraph that is only the link becomes a button in HTML; `replies` adds the cut line."""
    firm = company()
    words = LINK_MARK.join(clean_text(piece) for piece in words.split(LINK_MARK))
    parts = [_part(paragraph) for paragraph in re.split(r"\n\s*\n", words.strip())]
    context = {
        "subject": plain_line(subject),
        "parts": parts,
        "words": words.strip(),
        "link": LINK_MARK,
        "link_words": link_words,
        "firm": firm,
        "cut_line": CUT_LINE if replies else "",
    }
    text = render_to_string("emails/letter.txt", context)
    return Letter(plain_line(subject), text, render_to_string("emails/letter.html", context))


def _part(paragraph: str) -> dict[str, object]:
    if paragraph.strip() == LINK_MARK:
        return {"is_link": True, "lines": ()}
    return {"is_link": False, "lines": [line.split(LINK_MARK) for line in paragraph.split("\n")]}
