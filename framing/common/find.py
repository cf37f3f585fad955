"""Finds builders, projects, quotes, orders and loads by what a person remembers of them, in one question.

Every word must be there or begin a word that is. Where nothing has them, words with one wrong letter are forgiven.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.contrib.postgres.search import SearchVectorField
from django.db import connection
from django.db.models import Lookup, QuerySet
from django.urls import reverse
from django.utils.http import urlencode

from framing.common.access import may
from framing.common.errors import Refused
from framing.common.find_index import KINDS, FindKind
from framing.common.find_words import (
    asked_phone,
    asked_words,
    key_of,
    left_out,
    may_be_near,
    one_letter_off,
    parts_of,
)
from framing.common.lists_models import FindEntry, FindWord

ASKED_LEAST, ASKED_MOST = 2, 100
HITS_MOST: Final = 8
LOOKED_AT_MOST: Final = 1_000  # things of a kind among which the best are chosen
NEAR_MOST: Final = 12  # words that one wrong word may stand for


@SearchVectorField.register_lookup
class Matches(Lookup[Any]):
    """`lexemes__matches`: the question as the database's own text, which no parser takes apart again."""

    lookup_name = "matches"

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        left, left_params = self.process_lhs(compiler, connection)
        right, right_params = self.process_rhs(compiler, connection)
        return f"{left} @@ {right}::tsquery", (*left_params, *right_params)

    def get_prep_lookup(self) -> str:
        return str(self.rhs)


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing that was found. `has` is a word of the question that its title and note don't show."""

    title: str
    note: str
    url: str
    state: str = ""
    label: str = ""
    has: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """The first hits of a kind, whether there are more, and the list that shows all."""

    key: str
    title: str
    hits: tuple[Hit, ...]
    more: bool
    all_url: str


@dataclass(frozen=True, slots=True)
class Findings:
    """`instead` names the words that were taken for wrong ones: (asked, taken)."""

    sections: tuple[Section, ...] = ()
    instead: tuple[tuple[str, str], ...] = ()

    @property
    def count(self) -> int:
        """How many hits are shown."""
        return sum(len(section.hits) for section in self.sections)


@dataclass(frozen=True, slots=True)
class Question:
    """A question as it is put to the database: `lexemes` is its query, `key` itself without signs.

    `words` has an entry for each word: itself, or those that it was taken for.
    """

    lexemes: str
    key: str
    words: tuple[tuple[str, ...], ...]
    instead: tuple[tuple[str, str], ...] = ()

    def of(self, kind: str) -> str:
        """The query for one kind."""
        return f"'~{kind}' & ({self.lexemes})"

    def exact(self, kind: str) -> str:
        """The query for those whose whole number, or its counter, was typed."""
        return f"'~{kind}' & ('={self.key}' | '={self.key.lstrip('0') or '0'}')"

    def begins_title(self, kind: str) -> str:
        """The query for those whose title begins with the first word."""
        first = " | ".join(f"'^{word}':*" for word in self.words[0])
        return f"'~{kind}' & ({first}) & ({self.lexemes})"


def check_asked(text: str) -> str:
    """The question without blanks around it. Raises Refused for one that is too short, too long or only signs."""
    asked = " ".join(text.replace("\x00", " ").split())
    if len(asked) > ASKED_MOST:
        raise Refused(
            f"At most {ASKED_MOST} signs can be looked for; these are {len(asked)}. Leave out some words.",
            field="q",
        )
    if len("".join(parts_of(asked))) < ASKED_LEAST:
        raise Refused(
            f"Type at least {ASKED_LEAST} letters or digits of a name, a number or an address.", field="q"
        )
    return asked


def kinds_for(audience: str) -> list[FindKind]:
    """The kinds that somebody of this role may find."""
    return [kind for kind in KINDS.values() if may(audience, *kind.act, own=False)]


def find(text: str, audience: str) -> Findings:
    """The best hits of each kind that the role may see. Raises Refused as `check_asked`."""
    kinds = kinds_for(audience)
    question, rows = _answered(check_asked(text), [kind.key for kind in kinds])
    sections = (
        _section(kind, [row for row in rows if row.kind == kind.key], question, text) for kind in kinds
    )
    return Findings(tuple(section for section in sections if section.hits), question.instead)


def _answered(asked: str, kinds: Sequence[str]) -> tuple[Question, list[FindEntry]]:
    question = _asked(asked)
    rows = _best(question, kinds)
    other = None if rows else _forgiving(question, asked_words(asked))
    return (other, _best(other, kinds)) if other else (question, rows)


def pks_matching(text: str, kind: str) -> tuple[QuerySet[Any], Question]:
    """For lists: the keys of the things of one kind that a question finds. Raises Refused as `check_asked`."""
    asked = check_asked(text)
    question = _asked(asked)
    rows = FindEntry.objects.filter(lexemes__matches=question.of(kind))
    if not rows.exists() and (other := _forgiving(question, asked_words(asked))):
        question, rows = other, FindEntry.objects.filter(lexemes__matches=other.of(kind))
    return rows.values("object_id"), question


def _asked(asked: str) -> Question:
    words = asked_words(asked)
    return Question(
        _query(words, asked_phone(asked)), key_of(asked), tuple((word,) for group in words for word in group)
    )


def _query(groups: Iterable[Sequence[str]], phone: str = "") -> str:
    query = " & ".join(_group(parts) for parts in groups)
    return f"{_begins(phone)} | ({query})" if phone else query


def _group(parts: Sequence[str]) -> str:
    """What stood between blanks: as one word, or all its parts; a lone letter among them says nothing."""
    if len(parts) == 1:
        return _begins(parts[0])
    telling = [part for part in parts if len(part) > 1] or parts
    return f"({_begins(''.join(parts))} | ({' & '.join(map(_begins, telling))}))"


def _begins(word: str) -> str:
    return f"'{word}':*"  # letters and digits only, so nothing in it can end the quote


def _forgiving(question: Question, groups: Sequence[Sequence[str]]) -> Question | None:
    """The question with words that nothing has replaced by those that are one letter off; None where there are none."""
    query: list[str] = []
    words: list[tuple[str, ...]] = []
    instead: list[tuple[str, str]] = []
    for parts in groups:
        word = "".join(parts)
        near = _near(word) if may_be_near(word) and not _begun(word) else []
        query.append(f"({' | '.join(map(_begins, near))})" if near else _group(parts))
        words += [tuple(near)] if near else [(part,) for part in parts]
        instead += [(word, other) for other in near[:3]]
    return Question(" & ".join(query), question.key, tuple(words), tuple(instead)) if instead else None


def _begun(word: str) -> bool:
    return FindWord.objects.filter(word__startswith=word).exists()


def _near(word: str) -> list[str]:
    rows = FindWord.objects.filter(near__overlap=left_out(word)).values_list("word", flat=True)
    return sorted({other for other in rows if one_letter_off(word, other)})[:NEAR_MOST]


# One part of the union: so many entries that answer a query, each with its place in the order.
_PART: Final = (
    "(SELECT id, kind, object_id, CASE WHEN title_key LIKE %s THEN {first} WHEN {in_title} THEN {first} + 1"
    " ELSE {first} + 2 END AS place FROM common_findentry WHERE lexemes @@ %s::tsquery LIMIT {most})"
)
_BEST: Final = (
    "SELECT id FROM (SELECT id, kind, object_id, place, row_number() OVER"
    " (PARTITION BY kind ORDER BY place, object_id DESC) AS nth FROM"
    " (SELECT id, kind, object_id, min(place) AS place FROM ({parts}) AS part"
    " GROUP BY id, kind, object_id) AS once) AS ordered WHERE nth <= %s ORDER BY kind, nth"
)


def _best(question: Question, kinds: Sequence[str]) -> list[FindEntry]:
    """The first hits of each kind and one more: whole number, begun title, words of the title, others; newest first.

    No part of the union reads more than so many entries, so a word that half of all things have costs no more.
    """
    in_title = " AND ".join(
        f"({' OR '.join(['title_key LIKE %s OR title_key LIKE %s'] * len(words))})"
        for words in question.words
    )
    likes = [like for words in question.words for word in words for like in (f"{word}%", f"% {word}%")]
    begins = f"{' '.join(words[0] for words in question.words)}%"
    parts, values = [], []
    for kind in kinds:
        for first, query, most in (
            (0, question.exact(kind), HITS_MOST + 1),
            (3, question.begins_title(kind), LOOKED_AT_MOST),
            (6, question.of(kind), LOOKED_AT_MOST),
        ):
            parts.append(_PART.format(first=first, in_title=in_title, most=most))
            values += [begins, *likes, query]
    with connection.cursor() as cursor:
        cursor.execute(_BEST.format(parts=" UNION ALL ".join(parts)), [*values, HITS_MOST + 1])
        order = [pk for (pk,) in cursor.fetchall()]
    rows = FindEntry.objects.defer("title_key", "lexemes").in_bulk(order)
    return [rows[pk] for pk in order]


def _section(kind: FindKind, rows: Sequence[FindEntry], question: Question, text: str) -> Section:
    stages = kind.stages([row.object_id for row in rows]) if kind.stages and rows else {}
    hits = tuple(_hit(kind, row, question, stages.get(row.object_id, ("", ""))) for row in rows)
    all_url = f"{reverse(kind.list_page)}?{urlencode({kind.list_search: text.strip()})}"
    return Section(kind.key, kind.title, hits[:HITS_MOST], len(hits) > HITS_MOST, all_url)


def _hit(kind: FindKind, row: FindEntry, question: Question, stage: tuple[str, str]) -> Hit:
    shown = [*parts_of(f"{row.title} {row.note}"), key_of(row.title)]
    unseen = [
        words
        for words in question.words
        if len(words[0]) > 1 and not any(other.startswith(words) for other in shown)
    ]
    has = next((word for word in row.words.split() if any(word.startswith(words) for words in unseen)), "")
    return Hit(
        row.title,
        row.note,
        reverse(kind.page, args=[row.public_id]),
        *stage,
        has.upper() if any(sign.isdigit() for sign in has) else has.capitalize(),
    )
