"""The engine, drawn from its sheet: the way in to every place of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from gudgeon.bench.addresses import page_of
from gudgeon.bench.at_places import OIL, At, AtPlaces
from gudgeon.bench.drawing.crank import crank_notes, draw_crank
from gudgeon.bench.drawing.frame import Callout
from gudgeon.bench.drawing.plan import Kind, draw_plan, plan_notes
from gudgeon.bench.opened import plain_name
from gudgeon.bench.page import Page, drawn
from gudgeon.bench.state import Ask
from gudgeon.bench.words import words_of
from gudgeon.record.engine_end import draw_end
from gudgeon.record.engine_places import cylinder_names
from gudgeon.record.svg import SCREEN

View = Literal["plan", "crank"]
#: Kinds of place that each view draws, in the order in which they are offered.
KINDS: Final[Mapping[View, tuple[str, ...]]] = {
    "plan": ("valve", "cylinder"),
    "crank": ("main", "pin"),
}


@dataclass(frozen=True, slots=True)
class Option:
    """A size that may be shown. to: address that shows it. chosen: whether it is."""

    kind: str
    name: str
    words: str
    to: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Shown:
    """One view with the size that it shows.

    Attributes:
        name: of the size. words: the same in words. kind: of place it is at; several for a crank.
        options: what else it may show. places: what stands where. notes: said under the drawing.
        wide, narrow: the drawing for each paper.
    """

    name: str
    words: str
    kind: str
    options: tuple[Option, ...]
    places: tuple[At, ...]
    notes: tuple[str, ...]
    wide: str = drawn()
    narrow: str = drawn()


@dataclass(frozen=True, slots=True)
class Choice:
    """Something of a few that may be chosen."""

    words: str
    to: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class EnginePage:
    """The page.

    Attributes:
        end: the end from which everything is numbered. plan, crank: the two views.
        near: cylinders that may be drawn large. touch: what touching a place does.
        others: kinds of place that are not drawn, each with its places.
    """

    job: str
    engine: str
    invented: bool
    end: str
    plan: Shown
    crank: Shown
    near: tuple[Choice, ...]
    touch: tuple[Choice, ...]
    others: tuple[tuple[str, tuple[At, ...]], ...]
    end_view: str = drawn()


def view(ask: Ask) -> EnginePage:
    """The engine of the job in the address."""
    return _Maker(ask).page()


class _Maker:
    """Makes the page of one request."""

    def __init__(self, ask: Ask) -> None:
        self.name = ask.parts["job"]
        desk = ask.bench.desk
        self.job = desk.job(self.name)
        self.sheet = self.job.sheet
        self.places = AtPlaces(desk, self.name)
        self.words = words_of("engine")
        names = cylinder_names(self.sheet)
        near = ask.query.get("near", "")
        self.near = near if near in names else ""
        touches = ("measure", "see") if ask.who.writes else ("see",)
        wanted = ask.query.get("touch", touches[0])
        self.touches, self.touch = touches, wanted if wanted in touches else touches[0]
        self.chosen: dict[View, str] = {
            which: self._choose(which, ask.query.get(which, "")) for which in KINDS
        }

    def page(self) -> EnginePage:
        """The whole page."""
        sheet = self.sheet
        return EnginePage(
            self.name,
            sheet.engine.name,
            bool(sheet.engine.invented),
            sheet.layout.end,
            self._shown("plan"),
            self._shown("crank"),
            tuple(self._near()),
            tuple(
                Choice(self.words(f"touch-{item}"), self._to(touch=item), item == self.touch)
                for item in self.touches
            ),
            tuple(self._others()),
            draw_end(sheet, SCREEN) or "",
        )

    def _to(self, **changed: str) -> str:
        """This page with something changed."""
        query = {**self.chosen, "near": self.near, "touch": self.touch, **changed}
        return page_of(self.name, "engine", **{str(key): value for key, value in query.items()})

    def _near(self) -> Iterator[Choice]:
        names = cylinder_names(self.sheet)
        if len(names) < 2:
            return
        yield Choice(self.words("whole"), self._to(near=""), not self.near)
        for name in names:
            yield Choice(self.words("cylinder", name=name), self._to(near=name), name == self.near)

    # ---- which sizes
    def _names(self, which: View) -> list[tuple[str, str]]:
        """The sizes a view may show: kind of place and name, in the order of the sheet."""
        seen = dict.fromkeys(
            (self.sheet.layout.kind(place), name)
            for name, places in self.places.sizes.items()
            for place in places
        )
        oil = dict.fromkeys(
            self.sheet.layout.kind(pick.place) for pick in self.places.shells.picks if pick.pick
        )
        found = [(kind, OIL) for kind in oil]
        found += [pair for kind in KINDS[which] for pair in seen if pair[0] == kind]
        return [pair for kind in KINDS[which] for pair in found if pair[0] == kind]

    def _choose(self, which: View, wanted: str) -> str:
        """The size to show: the one asked for, else the one people look at first."""
        names = [name for _, name in self._names(which)]
        if wanted in names:
            return wanted
        shims = self.sheet.select.shims
        usual = [OIL, shims.gap if shims and shims.gap else "", *names]
        return next((name for name in usual if name in names), "")

    def _shown(self, which: View) -> Shown:
        name = self.chosen[which]
        kinds = list(dict.fromkeys(kind for kind, other in self._names(which) if other == name))
        drawn_kinds = KINDS[which] if which == "crank" else tuple(kinds)
        places = tuple(
            self.places.at(place, name)
            for kind in drawn_kinds
            for place in self.sheet.layout.of(kind)
            if kind in kinds or which == "crank"
        )
        if self.near and which == "plan":
            places = tuple(at for at in places if at.place.split("/")[1] == self.near)
        callouts = {at.place: self._callout(at) for at in places}
        shown = Shown(
            name,
            plain_name(name),
            kinds[0] if kinds else "",
            self._options(which),
            tuple(at for at in places if at.value or self.sheet.layout.kind(at.place) in kinds),
            plan_notes(self.sheet) if which == "plan" else crank_notes(self.sheet),
        )
        if which == "crank":
            return replace(
                shown,
                wide=draw_crank(self.sheet, callouts),
                narrow=draw_crank(self.sheet, callouts, narrow=True),
            )
        kind: Kind = "cylinder" if shown.kind == "cylinder" else "valve"
        return replace(
            shown,
            wide=draw_plan(self.sheet, callouts, kind, only=self.near),
            narrow=draw_plan(self.sheet, callouts, kind, narrow=True, only=self.near),
        )

    def _options(self, which: View) -> tuple[Option, ...]:
        return tuple(
            Option(
                self.words.texts.get(f"kind-{kind}", f"{kind}s"),
                name,
                plain_name(name),
                self._to(**{which: name}),
                name == self.chosen[which],
            )
            for kind, name in self._names(which)
        )

    def _callout(self, at: At) -> Callout:
        word = self.words("stale") if at.stale else at.said
        seen = " ".join(part for part in (at.spoken, at.value or "–", word) if part)
        rest = (
            at.unit if at.value else self.words("nothing"),
            at.when,
            at.said if at.stale else "",
            at.stale,
            self.words(f"leads-{self.touch}"),
        )
        label = ", ".join((seen, *(part for part in rest if part)))
        to = at.measure if self.touch == "measure" else at.see
        return Callout(at.place, at.name, at.value, at.word, word, to, label)

    def _others(self) -> Iterator[tuple[str, tuple[At, ...]]]:
        """Places that no view draws."""
        drawn_kinds = {kind for kinds in KINDS.values() for kind in kinds}
        for kind in (*self.sheet.layout.kinds, "engine"):
            if kind not in drawn_kinds:
                places = tuple(self.places.bare(place) for place in self.sheet.layout.of(kind))
                if places:
                    yield self.words.texts.get(f"kind-{kind}", plain_name(kind)), places


PAGE: Final = Page("engine", "/jobs/{job}/engine", view, script=True, tab="job")
