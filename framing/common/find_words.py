"""Words as they are stored and asked for when something is looked for. Pure.

A word is letters and digits only, lower case, without accents. What a person joins by signs is found by its parts and
as one: `O'Brien` by o, brien and obrien, `Q-2026-0015` by q, 2026, 0015 and q20260015, and by 15.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

WORD_MOST: Final = 40
ASKED_MOST: Final = 8
NEAR_FROM, NEAR_TO = 4, 24  # letters of words in which one wrong letter is forgiven
PHONE_FROM: Final = 5
LOCAL_PHONE: Final = 7
_PHONE: Final = re.compile(r"[\d\s()+./-]+")
_RUNS: Final = re.compile(r"[^\W_]+")


def plain(text: str) -> str:
    """Lower case without accents."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in parted if not unicodedata.combining(sign))


def parts_of(text: str) -> list[str]:
    """The runs of letters and digits of a text, in order."""
    return [run[:WORD_MOST] for run in _RUNS.findall(plain(text))]


def key_of(text: str) -> str:
    """A number without signs: `q20260015`."""
    return "".join(parts_of(text))


def tail_of(number: str) -> str:
    """The counter of a number without zeros: `15` of `Q-2026-0015`."""
    parts = parts_of(number)
    return parts[-1].lstrip("0") if parts and parts[-1].isdigit() else ""


def phone_digits(phone: str) -> str:
    """The digits of a phone number without the country's 1."""
    digits = "".join(sign for sign in phone if sign.isascii() and sign.isdigit())
    return digits[1:] if len(digits) == 11 and digits.startswith("1") else digits


def stored_words(*, texts: Iterable[str], number: str = "", phone: str = "") -> str:
    """Every word of a thing, once each, parted by blanks."""
    words: set[str] = set()
    for chunk in " ".join([number, phone, *texts]).split():
        parts = parts_of(chunk)
        words.update(parts)
        if len(parts) > 1:
            words.add("".join(parts)[:WORD_MOST])
    digits = phone_digits(phone)
    words |= {tail_of(number), digits[:WORD_MOST], digits[-LOCAL_PHONE:]}
    return " ".join(sorted(words - {""}))


def asked_phone(text: str) -> str:
    """The digits of a question that can only be a phone number; "" for any other."""
    digits = phone_digits(text)
    return digits if _PHONE.fullmatch(text) and len(digits) >= PHONE_FROM else ""


def asked_words(text: str) -> list[list[str]]:
    """The words of a question: each entry is the parts of what stood between blanks."""
    return [parts for chunk in text.split() if (parts := parts_of(chunk))][:ASKED_MOST]


def left_out(word: str) -> list[str]:
    """A word and all that is left of it without one letter."""
    return sorted({word} | {word[:at] + word[at + 1 :] for at in range(len(word))})


def may_be_near(word: str) -> bool:
    """Whether one wrong letter is forgiven in a word: letters only, neither short nor endless."""
    return NEAR_FROM <= len(word) <= NEAR_TO and word.isalpha()


def one_letter_off(asked: str, word: str) -> bool:
    """Whether two words differ by one letter too many, too few or another, or by two neighbours that changed places."""
    if asked == word or abs(len(asked) - len(word)) > 1:
        return False
    same = next((at for at, (a, b) in enumerate(zip(asked, word, strict=False)) if a != b), len(word))
    if len(asked) > len(word):
        same = min(same, len(word))
        return asked[same + 1 :] == word[same:]
    if len(asked) < len(word):
        same = min(same, len(asked))
        return asked[same:] == word[same + 1 :]
    turned = asked[same : same + 2][::-1] == word[same : same + 2] and asked[same + 2 :] == word[same + 2 :]
    return turned or asked[same + 1 :] == word[same + 1 :]
