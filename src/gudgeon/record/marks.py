"""Verdict words and the shapes that stand beside them: no mark rests on colour alone.

The more ink a shape holds, the more the part asks for: an open ring rests, a barred block asks for
a new part, a half-filled lozenge asks for a better reading.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.record.svg import PRINT, Board, Ink, Point

AS_NEW: Final = "as new"
WITHIN: Final = "within service"
BEYOND: Final = "beyond service"
NOT_DECIDED: Final = "not decided"
NO_LIMIT: Final = "no limit given"
NOT_MEASURED: Final = "not measured"
#: The closed list of verdict words, best first.
WORDS: Final = (AS_NEW, WITHIN, NOT_DECIDED, BEYOND, NO_LIMIT, NOT_MEASURED)


@dataclass(frozen=True, slots=True)
class Tag:
    """What stands at a place of the drawing.

    Attributes:
        text: the value, short, as `0.14`.
        mark: a verdict word; its shape is drawn. None for no mark.
    """

    text: str = ""
    mark: str | None = None


def draw_mark(board: Board, centre: Point, word: str, size: float = 2.0) -> None:
    """Draw the shape of a verdict word, on a patch of paper so that it stands clear of lines.

    `size` is the width of the shape [mm]. A word outside the list has the shape of no verdict.
    """
    x, y = centre
    r = size / 2
    board.circle(centre, r * 1.35, 0.01, "paper", "paper")
    if word == AS_NEW:
        board.circle(centre, r * 0.85, 0.2, fill="paper")
        board.circle(centre, r * 0.3, 0.1, fill="line")
    elif word == WITHIN:
        board.circle(centre, r * 0.85, 0.28, fill="paper")
    elif word == BEYOND:
        board.rect((x - r, y - r), size, size, 0.1, fill="line")
        board.line((x - r * 0.6, y + r * 0.6), (x + r * 0.6, y - r * 0.6), 0.3, "paper")
    elif word == NOT_DECIDED:
        lozenge = [(x, y - r * 1.15), (x + r * 1.15, y), (x, y + r * 1.15), (x - r * 1.15, y)]
        board.path(lozenge, 0.22, fill="paper", closed=True)
        board.path([lozenge[0], lozenge[3], lozenge[2]], 0.05, fill="line", closed=True)
    elif word == NOT_MEASURED:
        board.rect((x - r * 0.8, y - r * 0.8), r * 1.6, r * 1.6, 0.18, fill="paper", dash="0.4 0.3")
    else:
        board.line((x - r * 0.9, y), (x + r * 0.9, y), 0.3)


def mark_svg(word: str, size: float = 2.4, ink: Ink = PRINT) -> str:
    """The shape of a verdict word on its own, to stand in a line of text."""
    side = size * 1.35
    board = Board(side, side, ink)
    draw_mark(board, (side / 2, side / 2), word, size)
    return board.svg(word)
