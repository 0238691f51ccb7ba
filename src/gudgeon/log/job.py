"""The job and the shop: what a log says at one moment, as plain values the rest computes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gudgeon.faults import Fault
from gudgeon.log.entries import (
    Code,
    Departure,
    Entry,
    Feeler,
    Happened,
    Instrument,
    Note,
    Photo,
    Reading,
    RiseEstimate,
    SettingCheck,
    ShimFitted,
)
from gudgeon.sheet.model import Sheet


@dataclass(frozen=True, slots=True)
class Piece:
    """One or more alike pieces of the drawer.

    Attributes:
        stock: id of the entry that put them there.
        group: what they are: `shim`, or the name of a group of shells.
        mark: mark as stamped. typed, unit: size as measured, if it was. instrument: with what.
        diameter_mm: diameter of the family [mm], if stated.
        count: how many are there and free for the job at hand.
        condition: good, dished or chipped.
        at: when it was put there, so that the gauge's zero of that day counts.
    """

    stock: str
    group: str
    mark: str | None
    typed: str | None
    unit: str | None
    instrument: str | None
    diameter_mm: float | None
    count: int
    condition: str
    at: str = ""


@dataclass(frozen=True, slots=True)
class Shop:
    """What all engines of the shop share.

    Attributes:
        instruments: by name.
        checks: setting checks, in the order of their time.
        drawer: the pieces free for the job at hand: reserved by it, or by none.
        settings: name -> value as typed.
        faults: entries that can't be used, such as a reservation of a piece that is spoken for.
    """

    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    checks: tuple[SettingCheck, ...] = ()
    drawer: tuple[Piece, ...] = ()
    settings: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """One engine, as sheet and log together say.

    Attributes:
        name: the job's name in its shop.
        sheet: the sheet in force, departures applied. sheet_hash: sha256 of its text.
        sheet_file: name of the file it came from.
        readings, feelers, codes, shims, rises, events, notes, photos: entries that count, in time
            order.
        departures: where this engine is not as its sheet says.
        settings: name -> value as typed, of this job only.
        struck: id of a struck entry -> the reason given.
        entries: every entry, struck or not, in time order.
        faults: entries that can't be used, such as a reading for a place the engine hasn't got.
    """

    name: str
    title: str
    sheet: Sheet
    sheet_hash: str
    sheet_file: str
    readings: tuple[Reading, ...] = ()
    feelers: tuple[Feeler, ...] = ()
    codes: tuple[Code, ...] = ()
    shims: tuple[ShimFitted, ...] = ()
    rises: tuple[RiseEstimate, ...] = ()
    events: tuple[Happened, ...] = ()
    notes: tuple[Note, ...] = ()
    photos: tuple[Photo, ...] = ()
    departures: tuple[Departure, ...] = ()
    settings: Mapping[str, str] = field(default_factory=dict)
    struck: Mapping[str, str] = field(default_factory=dict)
    entries: tuple[Entry, ...] = ()
    faults: tuple[Fault, ...] = ()
