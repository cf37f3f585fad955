"""What finding and lists keep: the words of each thing, all words there are, saved filters, a person's own settings."""

from __future__ import annotations

from typing import ClassVar

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex
from django.contrib.postgres.search import SearchVectorField
from django.db import models
from django.db.models import F, Func, Q, Value

from framing.common.models import Addressed, TimeStamped, User

NAME_MOST = 60
QUERY_MOST = 1000


class FindEntry(models.Model):
    """The words by which one thing is found; written by `find_index` whenever the thing or what it names changes.

    `words` are lower case and parted by one blank; the database makes `lexemes` of them. Some begin with a sign:
    `~quote` is the kind, `=q20260015` and `=15` the whole number and its counter, `^marsh` the first word of the title.
    """

    kind = models.CharField(max_length=12)
    object_id = models.BigIntegerField()
    public_id = models.CharField(max_length=20)
    title = models.CharField(max_length=200)
    note = models.CharField(max_length=500, blank=True)
    title_key = models.CharField(max_length=400)
    words = models.TextField()
    lexemes = models.GeneratedField(
        expression=Func(
            Func(F("words"), Value(" "), function="string_to_array"), function="array_to_tsvector"
        ),
        output_field=SearchVectorField(),
        db_persist=True,
    )

    class Meta:
        verbose_name_plural = "find entries"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["kind", "object_id"], name="find_entry_once"),
        ]
        indexes: ClassVar = [GinIndex(fields=["lexemes"], name="find_lexemes", fastupdate=False)]

    def __str__(self) -> str:
        return self.title


class FindWord(models.Model):
    """A word of letters that some thing is found by, and what is left of it without one letter, for wrong letters.

    Two people who bring the same new word at once make two rows: nobody waits for anybody, and it does no harm.
    """

    word = models.CharField(max_length=40, db_index=True)
    near = ArrayField(models.CharField(max_length=40))

    class Meta:
        indexes: ClassVar = [GinIndex(fields=["near"], name="find_word_near", fastupdate=False)]

    def __str__(self) -> str:
        return self.word


class SavedFilter(Addressed, TimeStamped):
    """A list as somebody wants it again: filters, order and columns, as they stand in its address."""

    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    list_key = models.CharField(max_length=20)
    name = models.CharField(max_length=NAME_MOST)
    query = models.CharField(max_length=QUERY_MOST, blank=True)
    shared = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["list_key", "name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["owner", "list_key", "name"], name="saved_filter_once"),
            models.CheckConstraint(condition=~Q(name=""), name="saved_filter_named"),
        ]

    def __str__(self) -> str:
        return self.name


class ListStart(models.Model):
    """The saved filter that a list begins with for one person."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    list_key = models.CharField(max_length=20)
    saved = models.ForeignKey(SavedFilter, on_delete=models.CASCADE, related_name="starts")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["user", "list_key"], name="list_start_once"),
        ]

    def __str__(self) -> str:
        return f"{self.list_key} of {self.user.name}"


class ReaderSetting(models.Model):
    """How pages behave for one person; who has no row has the usual."""

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="+")
    single_keys = models.BooleanField(default=True)

    def __str__(self) -> str:
        return f"settings of {self.user.name}"
