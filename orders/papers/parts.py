"""What all labels are made of: words that fit their rooms, rules, and the code. Millimetres from the label's corner."""

from __future__ import annotations

from dataclasses import dataclass, field

from orders.papers.codes import Symbol, symbol_for
from orders.papers.fitting import SIZE_MOST, fit


def placed(left: float, top: float, wide: float) -> str:
    """A place as declarations of a stylesheet."""
    return f"left:{left:.3f}mm;top:{top:.3f}mm;width:{wide:.3f}mm"


@dataclass(frozen=True, slots=True)
class Room:
    """A rectangle on a label."""

    left: float
    top: float
    wide: float
    high: float

    @property
    def place(self) -> str:
        return f"{placed(self.left, self.top, self.wide)};height:{self.high:.3f}mm"


@dataclass(frozen=True, slots=True)
class Row:
    """Words of one row; `share` of the room's height.

    Rows that are `even` are as large as the smallest of them; one that `follows` is no larger than they are.
    """

    text: str
    share: float
    mono: bool = False
    bold: bool = False
    even: bool = False
    follows: bool = False

    def size_in(self, room: Room) -> float:
        """Its size in mm where it has its share of a room to itself."""
        return fit(self.text, room.wide, room.high * self.share, mono=self.mono).size


@dataclass(frozen=True, slots=True)
class Words:
    """Words where they stand: the box of their letters is `size` high, capitals in its middle."""

    text: str
    left: float
    top: float
    wide: float
    size: float
    mono: bool
    bold: bool
    end: bool

    @property
    def css(self) -> str:
        """Class names of the paper's stylesheet."""
        return " ".join(name for name, on in (("m", self.mono), ("b", self.bold), ("e", self.end)) if on)

    @property
    def place(self) -> str:
        return f"{placed(self.left, self.top, self.wide)};font-size:{self.size:.3f}mm"


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code where its dark modules stand."""

    left: float
    top: float
    side: float
    symbol: Symbol

    @property
    def place(self) -> str:
        return placed(self.left, self.top, self.side)


@dataclass(slots=True)
class Drawn:
    """A label as it is laid out; `turned` where it lies on its side."""

    wide: float
    high: float
    turned: bool = False
    words: list[Words] = field(default_factory=list)
    rules: list[str] = field(default_factory=list)
    codes: list[Code] = field(default_factory=list)
    slings: list[Room] = field(default_factory=list)

    def write(
        self,
        text: str,
        room: Room,
        *,
        mono: bool = False,
        bold: bool = False,
        end: bool = False,
        most: float = SIZE_MOST,
    ) -> None:
        """One row as large as its room lets it be, `most` mm at the most; `end` writes up to the right."""
        if not text:
            return
        fitted = fit(text, room.wide, room.high, mono=mono, most=most)
        top = room.top + room.high / 2 - fitted.size / 2
        self.words.append(Words(fitted.text, room.left, top, room.wide, fitted.size, mono, bold, end))

    def write_line(self, text: str, left: float, top: float, wide: float, size: float) -> None:
        """One line of a paragraph, at the size that was taken for all of them."""
        self.words.append(Words(text, left, top, wide, size, mono=False, bold=False, end=False))

    def write_rows(self, rows: tuple[Row, ...], room: Room) -> None:
        """Rows under each other, each with its share of the room."""
        top = room.top
        sizes = [row.size_in(room) for row in rows if row.even and row.text]
        for row in rows:
            high = room.high * row.share
            most = min(sizes, default=SIZE_MOST) if row.even or row.follows else SIZE_MOST
            place = Room(room.left, top, room.wide, high)
            self.write(row.text, place, mono=row.mono, bold=row.bold, most=most)
            top += high

    def code(self, code: str, door: str, room: Room) -> None:
        """The code in a room that counts its white edge in."""
        side = min(room.wide, room.high)
        made = symbol_for(code, door, side)
        module = side / made.whole
        white = (side - module * made.modules) / 2
        left = room.left + (room.wide - side) / 2 + white
        top = room.top + (room.high - side) / 2 + white
        self.codes.append(Code(left, top, module * made.modules, made))

    def rule(self, left: float, top: float, wide: float) -> None:
        """A thin line across."""
        self.rules.append(placed(left, top, wide))


__all__ = ["Code", "Drawn", "Room", "Row", "Words"]
