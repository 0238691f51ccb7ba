"""A bore in section, its departures drawn large, against its limits."""

from __future__ import annotations

from dataclasses import dataclass

from gudgeon.record.figures import Band, Scale
from gudgeon.record.marks import draw_mark
from gudgeon.record.said import span
from gudgeon.record.svg import CENTRE, PRINT, THIN, Board, Ink, fitting


@dataclass(frozen=True, slots=True)
class Profile:
    """Readings of a bore down two axes.

    Attributes:
        title: what and where. heights: from the top down. axes: the two, left and right.
        values: (height, axis) -> size [mm]; a missing one is left out.
        expanded_u: of one reading [mm]. new, service: limits of the size [mm].
        word: verdict of the size, drawn beside the title.
    """

    title: str
    heights: tuple[str, ...]
    axes: tuple[str, str]
    values: dict[tuple[str, str], float]
    expanded_u: float
    new: Band
    service: Band
    word: str = ""


def bore_profile(profile: Profile, ink: Ink = PRINT, width: float = 56.0) -> str:
    """A bore in section with its departures from the smallest limit drawn large, as SVG.

    The left wall shows the first axis, the right wall the second; limits are upright lines.
    """
    heights = profile.heights
    top, step = 11.0, 7.4
    foot = top + step * (len(heights) - 1)
    board = Board(width, foot + 15.5, ink)
    middle = width / 2
    ends = (*profile.new.ends, *profile.service.ends)
    sizes = (*profile.values.values(), *ends)
    low, high = min(sizes), max(sizes)
    room = max(high - low, 4 * profile.expanded_u, 1e-4)
    low -= 0.12 * room
    scale = 9.0 / (1.24 * room)
    inner = width * 0.115

    def out(size: float) -> float:
        return inner + (size - low) * scale

    for word, at in zip(profile.axes, (middle - inner - 4.5, middle + inner + 4.5), strict=True):
        board.text((at, 7.2), word, 2.4)
    board.text((1.0, 3.0), profile.title, fitting(profile.title, width - 8.0, 2.7), "start")
    if profile.word:
        draw_mark(board, (width - 2.4, 2.2), profile.word, 2.0)
    board.line((middle, 5.0), (middle, foot + 4.0), THIN, "line", CENTRE)
    for way, axis in ((-1, profile.axes[0]), (1, profile.axes[1])):
        _limits(board, profile, middle, way, (top, foot), out)
        _wall_line(board, profile, axis, middle, way, (top, step), out)
    for number, height in enumerate(heights):
        board.rect((middle - 3.6, top + step * number - 1.5), 7.2, 3.0, 0.01, "paper", "paper")
        board.text((middle, top + step * number + 0.8), height, fitting(height, 7.0, 2.1))
    _profile_foot(board, profile, foot, scale)
    return board.svg(f"{profile.title}, bore in section")


def _limits(
    board: Board, profile: Profile, middle: float, way: int, rows: tuple[float, float], out: Scale
) -> None:
    """Limit lines along one wall: thin for the new range, thick and hatched for service."""
    top, foot = rows[0] - 3.0, rows[1] + 3.0
    for end in profile.new.ends:
        board.line(
            (middle + way * out(end), top), (middle + way * out(end), foot), 0.14, dash="1.2 0.6"
        )
    for end in profile.service.ends:
        x = middle + way * out(end)
        board.line((x, top), (x, foot), 0.4)
        for number in range(int((foot - top) / 1.6)):
            y = top + 1.6 * (number + 1)
            board.line((x, y), (x + way * 1.0, y - 1.0), 0.1)


def _wall_line(
    board: Board,
    profile: Profile,
    axis: str,
    middle: float,
    way: int,
    rows: tuple[float, float],
    out: Scale,
) -> None:
    """The wall as read down one axis, each reading with its uncertainty and its number."""
    top, step = rows
    points = []
    for number, height in enumerate(profile.heights):
        size = profile.values.get((height, axis))
        if size is None:
            continue
        y = top + step * number
        x = middle + way * out(size)
        reach = [middle + way * out(size + s * profile.expanded_u) for s in (-1, 1)]
        board.line((reach[0], y), (reach[1], y), 0.22, "reading")
        for end in reach:
            board.line((end, y - 0.6), (end, y + 0.6), 0.18, "reading")
        points.append((x, y))
        edge = 1.0 if way < 0 else board.width - 1.0
        board.text(
            (edge, y + 0.9), f"{size:.3f}", 2.4, "start" if way < 0 else "end", "reading", "figures"
        )
    if len(points) > 1:
        board.path(points, 0.4, "reading")
    for point in points:
        board.circle(point, 0.6, 0.1, "reading", "reading")


def _profile_foot(board: Board, profile: Profile, foot: float, scale: float) -> None:
    """What the lines stand for, and how much larger the departures are drawn than they are."""
    y = foot + 7.4
    told = []
    if profile.new.ends:
        told.append(f"new {span(profile.new.low, profile.new.high)}")
    if profile.service.ends:
        told.append(f"service {span(profile.service.low, profile.service.high)}")
    for line in told:
        board.line(
            (1.0, y - 0.8),
            (6.0, y - 0.8),
            0.4 if line[0] == "s" else 0.14,
            dash="" if line[0] == "s" else "1.2 0.6",
        )
        board.text((7.5, y), line, 2.1, "start", face="figures")
        y += 3.2
    board.text(
        (board.width - 1.0, foot + 7.4), f"× {2 * scale:.0f}", 2.1, "end", "faint", "figures"
    )
