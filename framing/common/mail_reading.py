"""Reading a mail that came in: who it answers, its own words without the quoted history, and what came along."""

from __future__ import annotations

import email.policy
import re
from dataclasses import dataclass
from email import message_from_bytes
from email.errors import MessageError
from email.message import EmailMessage
from email.utils import parseaddr
from html.parser import HTMLParser
from typing import Final

from framing.common.errors import TooBig, Unreadable
from framing.common.mail_letter import CUT_LINE
from framing.common.mail_words import TEXT_MOST, plain_line, plain_text

BYTES_MOST: Final = 25_000_000
ATTACHMENTS_MOST: Final = 20
READ_MOST: Final = 200_000
_TO: Final = ("To", "Cc", "Delivered-To", "X-Original-To", "Envelope-To")
_BULK: Final = ("bulk", "junk", "list", "auto_reply")
# Where a mail program begins what it quotes; the cut takes the first such line and all after it.
_QUOTED: Final = re.compile(
    r"^(?:.{0,20}" + re.escape(CUT_LINE) + r".{0,20}"
    r"|-{2,}\s*(?:Original Message|Forwarded message|Ursprüngliche Nachricht|Message d'origine)\s*-{2,}"
    r"|_{20,}"
    r"|(?:On|Am|Le|El)\b.{4,300}(?:wrote|schrieb.{0,100}|a écrit|escribió)\s*:"
    r"|From:\s.{1,200}\n(?:Sent|Date|To):\s.*)\s*$",
    re.MULTILINE | re.IGNORECASE,
)
_WRAPPED: Final = re.compile(
    r"^((?:On|Am|Le|El)\b[^\n]{4,200})\n([^\n]{0,200}(?:wrote|a écrit|escribió)\s*:)\s*$", re.MULTILINE
)
_SKIPPED: Final = frozenset(("script", "style", "head", "title", "template"))
# Where programs of HTML mails put what they quote: an element, or a class or id of theirs.
_CITED: Final = re.compile(r"\b(?:gmail_quote|yahoo_quoted|moz-cite-prefix|divRplyFwdMsg|protonmail_quote)\b")
_BREAKS: Final = frozenset(
    ("p", "div", "br", "tr", "li", "h1", "h2", "h3", "blockquote", "table", "ul", "ol")
)


@dataclass(frozen=True, slots=True)
class Incoming:
    """A mail as read; `automatic` is what no person wrote."""

    message_id: str
    from_address: str
    to: tuple[str, ...]
    text: str
    attachments: tuple[str, ...]
    automatic: bool


def read_mail(raw: bytes) -> Incoming:
    """Read the bytes of one mail. Raises TooBig, and Unreadable for what is no mail."""
    if len(raw) > BYTES_MOST:
        raise TooBig(f"A mail has at most {BYTES_MOST:,} bytes; this one is bigger.")
    try:
        message = message_from_bytes(raw, policy=email.policy.default)
        found = _read(message)
    except (MessageError, ValueError, LookupError, IndexError, AttributeError, TypeError) as error:
        raise Unreadable("This is no mail that can be read.") from error
    if not found.to:
        raise Unreadable("This mail names nobody whom it is for.")
    return found


def _read(message: EmailMessage) -> Incoming:
    return Incoming(
        message_id=plain_line(_head(message, "Message-ID"), 300),
        from_address=plain_line(parseaddr(_head(message, "From"))[1], 254),
        to=tuple(value for name in _TO for value in _heads(message, name)),
        text=own_words(_body(message)),
        attachments=tuple(_names(message)),
        automatic=_is_automatic(message),
    )


def _heads(message: EmailMessage, name: str) -> list[str]:
    return [str(value) for value in message.get_all(name, [])]


def _head(message: EmailMessage, name: str) -> str:
    return next(iter(_heads(message, name)), "")


def _is_automatic(message: EmailMessage) -> bool:
    """Absence notices, reports and lists (RFC 3834); nobody answers them, lest two machines talk for ever."""
    submitted = _head(message, "Auto-Submitted").split(";")[0].strip().lower()
    return (
        submitted not in ("", "no")
        or _head(message, "Precedence").strip().lower() in _BULK
        or bool(_head(message, "X-Autoreply") or _head(message, "X-Autorespond") or _head(message, "List-Id"))
        or message.get_content_type() == "multipart/report"
        or _head(message, "Return-Path").strip() == "<>"
    )


def _body(message: EmailMessage) -> str:
    part = message.get_body(preferencelist=("plain", "html"))
    if part is None:
        return ""
    raw = part.get_payload(decode=True)
    data = raw if isinstance(raw, bytes) else b""
    words = _decoded(data, part.get_content_charset() or "utf-8")
    return html_words(words) if part.get_content_type() == "text/html" else words


def _decoded(data: bytes, charset: str) -> str:
    try:
        return data.decode(charset, errors="replace")
    except LookupError:  # a charset that nobody knows
        return data.decode("utf-8", errors="replace")


def _names(message: EmailMessage) -> list[str]:
    parts = [part for part in message.walk() if not part.is_multipart() and part.get_filename()]
    names = [plain_line(str(part.get_filename()), 120) for part in parts[:ATTACHMENTS_MOST]]
    return names + ([f"and {len(parts) - ATTACHMENTS_MOST} more"] if len(parts) > ATTACHMENTS_MOST else [])


def own_words(text: str) -> str:
    """The words without quoted history and signature; all of them where nothing else is left."""
    body = plain_text(text, READ_MOST)
    joined = _WRAPPED.sub(r"\1 \2", body)
    found = _QUOTED.search(joined)
    kept = joined[: found.start()] if found else joined
    lines = [line for line in kept.split("\n") if not line.lstrip().startswith(">")]
    kept = "\n".join(lines).split("\n-- \n")[0]
    kept = re.sub(r"\n{3,}", "\n\n", kept).strip()
    return plain_text(kept, TEXT_MOST)


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self.skipped = 0
        self.own: int | None = None  # how much was found before the first quotation

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.own is None and _is_cited(tag, attrs):
            self.own = len(self.found)
        if tag in _SKIPPED:
            self.skipped += 1
        elif tag in _BREAKS:
            self.found.append("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag in _SKIPPED:
            self.skipped = max(0, self.skipped - 1)
        elif tag in _BREAKS and tag != "br":
            self.found.append("\n")

    def handle_data(self, data: str) -> None:
        if not self.skipped:
            self.found.append(re.sub(r"\s+", " ", data))


def _is_cited(tag: str, attrs: list[tuple[str, str | None]]) -> bool:
    told = dict(attrs)
    if tag == "blockquote":
        return told.get("type") == "cite" or "quote" in (told.get("class") or "")
    return bool(_CITED.search(f"{told.get('class') or ''} {told.get('id') or ''}"))


def html_words(markup: str) -> str:
    """The words of an HTML mail as plain text, without script, style and pictures."""
    reader = _Words()
    reader.feed(markup)
    reader.close()
    own = "".join(reader.found[: reader.own])
    text = own if own.strip() else "".join(reader.found)
    lines = (line.strip() for line in text.split("\n"))
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()
