"""A drawing board: lines, circles and lettering as SVG text, in millimetres.

Line weights and line types follow the habit of ISO 128-2 (thick outlines, thin dimension and
centre lines, long-dash-dot for centres). Equal input gives equal bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal
from xml.sax.saxutils import escape, quoteattr

from gudgeon.record.letters import figure_text

THICK: Final = 0.5
MEDIUM: Final = 0.3
THIN: Final = 0.16
CENTRE: Final = "4 0.8 0.5 0.8"
HIDDEN: Final = "1.6 0.8"
#: Mean width of a letter as a share of its size, by face: B612's digits are 0.65 wide.
LETTER_WIDTH: Final = 0.66

#: Holds the letters that the two faces of a drawing lack.
SPARE_FACE: Final = "DejaVu Sans Mono"
#: Letters beyond Latin-1 that each face has of its own.
FIGURE_SIGNS: Final = frozenset("–—‘’“”„•…‰€−≤≥≈≠√∞←↑→↓")
LETTERING_SIGNS: Final = frozenset("–—‘’“”−")

Anchor = Literal["start", "middle", "end"]
Shade = Literal["line", "reading", "faint", "paper", "none"]
Face = Literal["lettering", "figures"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ink:
    """Colours and faces of a drawing. The accent is the ink of what was read at the engine.

    Attributes:
        line: outlines and lettering. reading: values read or computed. faint: helping lines.
        paper: the ground, for lettering that stands on lines.
        lettering, figures: font families, the first that is there is used.
    """

    line: str = "#141414"
    reading: str = "#174a8c"
    faint: str = "#858b93"
    paper: str = "#ffffff"
    lettering: str = "Routed Gothic"
    figures: str = "B612"

    def shade(self, name: Shade) -> str:
        """The colour of a shade."""
        return {
            "line": self.line,
            "reading": self.reading,
            "faint": self.faint,
            "paper": self.paper,
            "none": "none",
        }[name]


PRINT: Final = Ink()
#: For a page that follows light and dark: colours come from the page's own style.
SCREEN: Final = Ink(
    lettering="Routed Gothic, sans-serif",
    figures="B612, sans-serif",
    line="currentColor",
    reading="var(--reading, currentColor)",
    faint="var(--faint, currentColor)",
    paper="var(--paper, transparent)",
)


def number(value: float) -> str:
    """A coordinate [mm] to a hundredth, without idle zeros, the same on every machine.

    >>> number(12.0), number(0.126), number(-0.001)
    ('12', '0.13', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def fitting(text: str, width: float, largest: float, least: float = 1.2) -> float:
    """The letter size [mm] at which a text fits a width [mm], within bounds."""
    return max(least, min(largest, width / (LETTER_WIDTH * max(1, len(text)))))


@dataclass(slots=True)
class Board:
    """What has been drawn so far, on a sheet of a given size [mm]."""

    width: float
    height: float
    ink: Ink = PRINT
    parts: list[str] = field(default_factory=list)

    def add(self, tag: str, attributes: str, inside: str | None = None) -> None:
        """Add one element."""
        self.parts.append(
            f"<{tag} {attributes}/>" if inside is None else f"<{tag} {attributes}>{inside}</{tag}>"
        )

    def _stroke(self, shade: Shade, weight: float, dash: str, fill: Shade = "none") -> str:
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        return (
            f'class="{shade}" fill="{self.ink.shade(fill)}" stroke="{self.ink.shade(shade)}"'
            f' stroke-width="{number(weight)}"{dashes}'
        )

    def line(
        self, a: Point, b: Point, weight: float = THIN, shade: Shade = "line", dash: str = ""
    ) -> None:
        """A straight line between two points."""
        ends = f'x1="{number(a[0])}" y1="{number(a[1])}" x2="{number(b[0])}" y2="{number(b[1])}"'
        self.add("line", f"{ends} {self._stroke(shade, weight, dash)}")

    def circle(
        self,
        centre: Point,
        radius: float,
        weight: float = THICK,
        shade: Shade = "line",
        fill: Shade = "none",
        dash: str = "",
    ) -> None:
        """A circle."""
        where = f'cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}"'
        self.add("circle", f"{where} {self._stroke(shade, weight, dash, fill)}")

    def rect(
        self,
        corner: Point,
        width: float,
        height: float,
        weight: float = THICK,
        shade: Shade = "line",
        fill: Shade = "none",
        round_: float = 0.0,
        dash: str = "",
    ) -> None:
        """A rectangle by its upper left corner."""
        where = (
            f'x="{number(corner[0])}" y="{number(corner[1])}" width="{number(width)}"'
            f' height="{number(height)}"' + (f' rx="{number(round_)}"' if round_ else "")
        )
        self.add("rect", f"{where} {self._stroke(shade, weight, dash, fill)}")

    def path(
        self,
        points: Sequence[Point],
        weight: float = THICK,
        shade: Shade = "line",
        fill: Shade = "none",
        closed: bool = False,
        dash: str = "",
    ) -> None:
        """A run of straight lines."""
        drawn = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
        style = self._stroke(shade, weight, dash, fill)
        self.add("path", f'd="{drawn}{"Z" if closed else ""}" {style} stroke-linejoin="round"')

    def curve(self, d: str, weight: float = THIN, shade: Shade = "line") -> None:
        """A path in SVG's own words, for arcs."""
        self.add("path", f'd="{d}" {self._stroke(shade, weight, "")}')

    def text(
        self,
        at: Point,
        text: str,
        size: float = 2.6,
        anchor: Anchor = "middle",
        shade: Shade = "line",
        face: Face = "lettering",
        bold: bool = False,
        turn: float = 0.0,
    ) -> None:
        """Lettering: `at` is the foot of the letters; turn in degrees, clockwise."""
        shown = figure_text(text)
        signs = FIGURE_SIGNS if face == "figures" else LETTERING_SIGNS
        family = self.ink.lettering if face == "lettering" else self.ink.figures
        if any(letter > "\u00ff" and letter not in signs for letter in shown):
            family = SPARE_FACE  # one face a text: renderers differ in how they mix two
        attributes = (
            f'class="{face} {shade}" x="{number(at[0])}" y="{number(at[1])}"'
            f' font-family={quoteattr(family)} font-size="{number(size)}"'
            f' text-anchor="{anchor}" fill="{self.ink.shade(shade)}"'
            + (' font-weight="700"' if bold else "")
            + (
                f' transform="rotate({number(turn)} {number(at[0])} {number(at[1])})"'
                if turn
                else ""
            )
        )
        self.add("text", attributes, escape(shown))

    def centre_cross(self, centre: Point, reach: float) -> None:
        """Centre lines through a circle, reaching past it."""
        x, y = centre
        self.line((x - reach, y), (x + reach, y), THIN, "line", CENTRE)
        self.line((x, y - reach), (x, y + reach), THIN, "line", CENTRE)

    def arrow(self, tip: Point, tail: Point, size: float = 2.2, weight: float = THIN) -> None:
        """A line with a slim filled arrow head at its tip."""
        dx, dy = tip[0] - tail[0], tip[1] - tail[1]
        length = (dx * dx + dy * dy) ** 0.5 or 1.0
        ux, uy = dx / length, dy / length
        base = (tip[0] - ux * size, tip[1] - uy * size)
        half = size * 0.17
        self.line(tail, base, weight)
        self.path(
            [
                tip,
                (base[0] - uy * half, base[1] + ux * half),
                (base[0] + uy * half, base[1] - ux * half),
            ],
            0.05,
            fill="line",
            closed=True,
        )

    def open_group(self, kind: str, place: str = "") -> None:
        """Begin a group, named so that a page can find a place in the drawing."""
        named = f" data-place={quoteattr(figure_text(place))}" if place else ""
        self.parts.append(f"<g class={quoteattr(kind)}{named}>")

    def close_group(self) -> None:
        """End the group begun last."""
        self.parts.append("</g>")

    def svg(self, title: str) -> str:
        """The whole drawing; the title is what a reader without eyes for it is told."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(self.width)}mm"'
            f' height="{number(self.height)}mm"'
            f' viewBox="0 0 {number(self.width)} {number(self.height)}" role="img">'
            f"<title>{escape(figure_text(title))}</title>" + "".join(self.parts) + "</svg>"
        )
