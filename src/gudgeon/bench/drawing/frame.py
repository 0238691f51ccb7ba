"""A drawing's own paper, which may be turned so that the crank runs down a narrow screen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final
from xml.sax.saxutils import quoteattr

from gudgeon.record.marks import draw_mark
from gudgeon.record.svg import MEDIUM, SCREEN, THIN, Anchor, Board, Point, Shade, fitting

#: Lettering of a value, of a name and of a verdict [mm]; they shrink where room is short.
VALUE: Final = 4.6
NAME: Final = 2.9
WORD: Final = 2.6
#: Lettering narrower than this is left to the list [mm].
LEAST: Final = 1.7
#: Mean width of a letter of the lettering face, as a share of its size.
_NARROW: Final = 0.5


@dataclass(frozen=True, slots=True)
class Callout:
    """What stands beside a place, and where touching it leads.

    Attributes:
        place: address. name: short, as it is said beside its drawing. value: as shown.
        mark: verdict word whose mark stands beside the value; empty for none.
        said: verdict or chance in words. to: address that touching leads to.
        label: the whole of it for those who don't see the drawing.
    """

    place: str
    name: str
    value: str
    mark: str
    said: str
    to: str
    label: str


@dataclass(slots=True)
class Frame:
    """Paper on which points are told along the crank and across it [mm].

    Turned, the crank runs down the paper: the drawing is turned a quarter clockwise, and lettering
    stays upright.

    Attributes:
        along, across: of the drawing. turned: whether it is.
    """

    along: float
    across: float
    turned: bool = False
    board: Board = field(init=False)

    def __post_init__(self) -> None:
        wide, high = (self.across, self.along) if self.turned else (self.along, self.across)
        self.board = Board(wide, high, SCREEN)

    def at(self, along: float, across: float) -> Point:
        """A point on paper."""
        return (self.across - across, along) if self.turned else (along, across)

    def line(
        self, a: Point, b: Point, weight: float = THIN, shade: Shade = "line", dash: str = ""
    ) -> None:
        """A line between two points told along and across."""
        self.board.line(self.at(*a), self.at(*b), weight, shade, dash)

    def box(self, a: Point, b: Point, weight: float = MEDIUM, fill: Shade = "paper") -> None:
        """A rectangle between two corners told along and across."""
        (x1, y1), (x2, y2) = self.at(*a), self.at(*b)
        corner = (min(x1, x2), min(y1, y2))
        self.board.rect(corner, abs(x2 - x1), abs(y2 - y1), weight, fill=fill)

    def path(self, points: Sequence[Point], weight: float = THIN, shade: Shade = "line") -> None:
        """A run of lines told along and across."""
        self.board.path([self.at(*point) for point in points], weight, shade)

    def open_link(self, callout: Callout) -> None:
        """Begin what is touched as one."""
        named, place = quoteattr(callout.label), quoteattr(callout.place)
        to = quoteattr(callout.to)
        self.board.parts.append(f"<a href={to} aria-label={named} data-place={place}>")

    def close_link(self) -> None:
        """End what is touched as one."""
        self.board.parts.append("</a>")

    def callout(
        self, callout: Callout, middle: Point, room: Point, anchor: Anchor, largest: float = VALUE
    ) -> None:
        """Name, value with its mark, and verdict, one under the other, about a point on paper.

        Args:
            callout: what to write. middle: of the lettering. room: width and height for it [mm].
            anchor: which end of the lettering stands at the middle's side of the room.
            largest: lettering of the value [mm].
        """
        x, y = middle
        wide, high = room
        self.board.add(
            "rect",
            f'class="hit" x="{x - wide / 2:.2f}" y="{y - high / 2:.2f}" width="{wide:.2f}"'
            f' height="{high:.2f}" fill="none" pointer-events="all"',
        )
        at = {"start": x - wide / 2 + 0.6, "middle": x, "end": x + wide / 2 - 0.6}[anchor]
        value = callout.value or "–"
        mark = 0.74 * largest if callout.mark else 0.0
        size = fitting(value, wide - mark - 0.8, min(largest, high * 0.42))
        share = size / VALUE
        name = min(NAME * share, size * 0.72)
        said = min(WORD * share, (wide - 0.4) / (_NARROW * max(1, len(callout.said))))
        long = 0.64 * size * len(value)
        start = {"start": at, "middle": at - (long + mark) / 2, "end": at - long - mark}[anchor]
        top = y - (name + size + WORD * share + 1.6) / 2
        foot = top + name + 0.7 + size * 0.8
        board = self.board
        board.text((at, top + name * 0.85), callout.name, name, anchor)
        board.parts.append(" ")  # what is read out has spaces where the drawing has lines
        board.text((start, foot), value, size, "start", "reading", "figures", bold=True)
        if callout.mark:
            middle_up = (start + long + 0.43 * size, foot - size * 0.36)
            draw_mark(board, middle_up, callout.mark, 0.54 * size)
        board.parts.append(" ")
        if said >= LEAST:
            board.text((at, foot + 0.9 + said * 0.85), callout.said, said, anchor)
