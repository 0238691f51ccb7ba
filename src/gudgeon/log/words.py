"""An entry in one line, for people."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from gudgeon.log.entries import (
    Code,
    Departure,
    Entry,
    Feeler,
    Happened,
    Instrument,
    Note,
    Opened,
    Photo,
    Reading,
    Reserve,
    RiseEstimate,
    Setting,
    SettingCheck,
    SheetPinned,
    ShimFitted,
    Stock,
    StrikeOut,
)
from gudgeon.log.spots import spot_words


def in_words(entry: Entry) -> str:
    """What an entry says, in one line with nothing that moves a cursor.

    >>> in_words(Reading(id="r", at="2026-03-01T14:05:00Z", place="cylinder/1", feature="bore",
    ...     spot={"height": "top", "axis": "pin"}, typed="58.013", instrument="mic-a"))
    'cylinder/1 bore top pin 58.013, with mic-a'
    """
    said = " ".join(_WORDS[type(entry)](entry).split())
    return "".join(character if character.isprintable() else "?" for character in said)


def _number(typed: str | None, unit: str | None) -> str:
    return f"{typed} {unit}" if unit else str(typed)


def _joined(*parts: str | None) -> str:
    return " ".join(part for part in parts if part)


def _reading(e: Reading) -> str:
    return _joined(
        e.place,
        e.feature,
        spot_words(e.spot),
        e.epoch if e.epoch != "found" else None,
        _number(e.typed, e.unit),
        f"(attempt {e.attempt})" if e.attempt > 1 else None,
    ) + _circumstances(e.instrument, e.part_temp, e.gauge_temp)


def _circumstances(instrument: str | None, part: str | None, gauge: str | None) -> str:
    return (
        (f", with {instrument}" if instrument else "")
        + (f", part at {part} °C" if part else "")
        + (f", gauge at {gauge} °C" if gauge else "")
    )


def _feeler(e: Feeler) -> str:
    blades = [
        f"{_number(e.goes, e.unit)} goes" if e.goes else None,
        f"{_number(e.wont, e.unit)} won't" if e.wont else None,
    ]
    return _joined(
        e.place,
        e.feature,
        e.epoch if e.epoch != "found" else None,
        ", ".join(blade for blade in blades if blade),
        f"({e.feel})" if e.feel else None,
        f"(attempt {e.attempt})" if e.attempt > 1 else None,
    ) + _circumstances(e.instrument, e.part_temp, None)


def _shim(e: ShimFitted) -> str:
    return _joined(
        e.place,
        "shim",
        e.epoch if e.epoch != "found" else None,
        f"marked {e.mark}" if e.mark else None,
        f"measured {_number(e.typed, e.unit)}" if e.typed else None,
        e.condition if e.condition != "good" else None,
    ) + _circumstances(e.instrument, None, None)


def _rise(e: RiseEstimate) -> str:
    return _joined(
        e.place, f"rise {_number(e.typed, e.unit)}, spread {_number(e.spread, e.unit)}", e.basis
    )


def _depart(e: Departure) -> str:
    if e.oversize:
        said = f"oversize {e.oversize}, step {e.step}, is fitted"
    else:
        said = f"{e.path} is {e.value if e.value is not None else 'blank'}"
    return f"{said}: {e.reason}" if e.reason else said


def _happened(e: Happened) -> str:
    return _joined(e.what, *e.places, _number(e.typed, e.unit) if e.typed else None, e.text)


def _photo(e: Photo) -> str:
    said = _joined(f"{e.place}:" if e.place else None, e.words or "photograph")
    return f"{said}, taken by {e.by}" if e.by else said


def _stock(e: Stock) -> str:
    return _joined(
        f"{e.count} of {e.group}",
        f"marked {e.mark}" if e.mark else None,
        f"measured {_number(e.typed, e.unit)}" if e.typed else None,
        f"diameter {_number(e.diameter, e.unit)}" if e.diameter else None,
        e.condition if e.condition != "good" else None,
    ) + _circumstances(e.instrument, None, None)


def _instrument(e: Instrument) -> str:
    return _joined(
        f"{e.name} is a {e.of}",
        f"u of a reading {_number(e.u_read, e.unit)}" if e.u_read else None,
        f"u of its setting {_number(e.u_zero, e.unit)}" if e.u_zero else None,
        e.text,
    )


def _check(e: SettingCheck) -> str:
    return f"{e.instrument} reads {_number(e.read, e.unit)} on {_number(e.reference, e.unit)}"


_WORDS: Final[dict[type[Entry], Callable[[Any], str]]] = {
    Opened: lambda e: e.title,
    SheetPinned: lambda e: f"{e.file}, sha256 {e.sha256[:12]}…",
    Reading: _reading,
    Feeler: _feeler,
    Code: lambda e: f"{e.group}, on the {e.on}: {e.marks}",
    ShimFitted: _shim,
    RiseEstimate: _rise,
    Departure: _depart,
    Happened: _happened,
    Note: lambda e: _joined(f"{e.place}:" if e.place else None, e.text),
    Photo: _photo,
    StrikeOut: lambda e: _joined(e.target, f"({e.reason})" if e.reason else None),
    Setting: lambda e: f"{e.name} = {e.value}",
    Instrument: _instrument,
    SettingCheck: _check,
    Stock: _stock,
    Reserve: lambda e: f"{e.count} of {e.stock} for {e.job}",
}
