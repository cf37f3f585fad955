"""What may stand in a mail: addresses and names that cannot break a header, and texts with placeholders of ours."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from framing.common.errors import Refused

NAME_MOST: Final = 160
ADDRESS_MOST: Final = 254
SUBJECT_MOST: Final = 200
TEXT_MOST: Final = 8000
# Signs that turn the direction of what follows; in a header they make one name look like another.
BIDI: Final = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_PLACEHOLDER: Final = re.compile(r"\{([^{}\n]*)\}")


@dataclass(frozen=True, slots=True)
class Recipient:
    """One person who gets a mail."""

    name: str
    address: str


def is_turning_or_control(sign: str, *, lines: bool = False) -> bool:
    """Whether a sign can break a header or turn a line round; `lines` lets line ends and tabs pass."""
    if lines and sign in "\n\t":
        return False
    return sign in BIDI or unicodedata.category(sign) in ("Cc", "Zl", "Zp", "Cs")


def plain_line(text: str, most: int = SUBJECT_MOST) -> str:
    """One line for a header: line ends and control signs become spaces, turning signs go, the rest is cut."""
    signs = (
        "" if sign in BIDI else " " if is_turning_or_control(sign) else sign
        for sign in text
    )  # fmt: skip
    line = " ".join("".join(signs).split())
    return line if len(line) <= most else line[: most - 1].rstrip() + "…"


def clean_text(text: str) -> str:
    """Text with its lines and spaces, without control and turning signs."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(sign for sign in lines if not is_turning_or_control(sign, lines=True))


def plain_text(text: str, most: int = TEXT_MOST) -> str:
    """Plain text with its lines, without control and turning signs; at most `most` signs."""
    kept = clean_text(text).strip()
    return kept if len(kept) <= most else kept[: most - 1].rstrip() + "…"


def read_recipient(name: str, address: str) -> Recipient:
    """A person as typed. Raises Refused at `name` or `email` for what cannot be a name or an address."""
    who, where = name.strip(), address.strip()
    if not 1 <= len(who) <= NAME_MOST:
        raise Refused(f"Name the person, in 1 to {NAME_MOST} signs.", field="name")
    if any(is_turning_or_control(sign) for sign in who):
        raise Refused(
            "The name holds a line end or a sign that turns the text round. Type it anew.", field="name"
        )
    try:
        validate_email(where)
        where.encode("ascii")
    except (ValidationError, UnicodeEncodeError) as error:
        shown = plain_line(where, 60)
        raise Refused(f"“{shown}” is no mail address that we can send to.", field="email") from error
    if len(where) > ADDRESS_MOST:
        raise Refused(f"A mail address has at most {ADDRESS_MOST} signs.", field="email")
    return Recipient(who, where)


@dataclass(frozen=True, slots=True)
class MailKind:
    """A kind of mail whose words the company may change.

    `places` are the placeholders that its text knows, with what each stands for; `needs` must stand in the text;
    `button` are the words on the link where it stands alone.
    """

    name: str
    title: str
    places: Mapping[str, str]
    subject: str
    text: str
    needs: Sequence[str] = ()
    button: str = "Open the quote"


def check_words(kind: MailKind, subject: str, text: str) -> tuple[str, str]:
    """The words as kept. Raises Refused at `subject` or `text`, naming what is wrong."""
    line = subject.strip()
    if not 1 <= len(line) <= SUBJECT_MOST:
        raise Refused(f"The subject has 1 to {SUBJECT_MOST} signs.", field="subject")
    if any(is_turning_or_control(sign) for sign in line):
        raise Refused("The subject is one line, without signs that turn the text round.", field="subject")
    body = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if not 1 <= len(body) <= TEXT_MOST:
        raise Refused(f"The text has 1 to {TEXT_MOST} signs.", field="text")
    if any(is_turning_or_control(sign, lines=True) for sign in body):
        raise Refused("The text holds control signs or signs that turn the text round.", field="text")
    _check_places(kind, line, "subject")
    _check_places(kind, body, "text")
    if "{link}" in line:
        raise Refused("The link belongs in the text, not in the subject.", field="subject")
    for name in kind.needs:
        if f"{{{name}}}" not in body:
            raise Refused(f"The text must hold {{{name}}}: {kind.places[name]}.", field="text")
    return line, body


def _check_places(kind: MailKind, words: str, field: str) -> None:
    unknown = [name for name in _PLACEHOLDER.findall(words) if name not in kind.places]
    if unknown:
        listed = ", ".join(f"{{{name}}}" for name in kind.places)
        shown = ", ".join(f"{{{name[:40]}}}" for name in dict.fromkeys(unknown))
        raise Refused(f"{shown} is no placeholder of this mail. Known are {listed}.", field=field)


def fill(words: str, values: Mapping[str, str]) -> str:
    """The words with their placeholders filled; a value is never searched for placeholders again."""
    return _PLACEHOLDER.sub(lambda found: values.get(found[1], found[0]), words)
