"""How the database came to be what it is: numbered steps, each applied once, never changed.

The version of a database is the number of steps it has seen.
"""

from __future__ import annotations

from typing import Final

_FIRST: Final = (
    "CREATE TABLE version (step INTEGER NOT NULL)",
    "INSERT INTO version VALUES (0)",
    """CREATE TABLE entry (
        log  TEXT    NOT NULL CHECK (length(log) BETWEEN 1 AND 60),
        seq  INTEGER NOT NULL CHECK (seq >= 1),
        id   TEXT    NOT NULL CHECK (length(id) BETWEEN 1 AND 80),
        body TEXT    NOT NULL,
        hash TEXT    NOT NULL CHECK (length(hash) = 64),
        PRIMARY KEY (log, id),
        UNIQUE (log, seq)
    )""",
    # A replace deletes without asking the trigger on DELETE, so an insert is watched as well.
    """CREATE TRIGGER entry_added BEFORE INSERT ON entry
       WHEN EXISTS (SELECT 1 FROM entry WHERE log = NEW.log AND (id = NEW.id OR seq = NEW.seq))
       BEGIN SELECT RAISE(ABORT, 'an entry is never replaced'); END""",
    """CREATE TRIGGER entry_in_turn BEFORE INSERT ON entry
       WHEN NEW.seq <> 1 + coalesce((SELECT max(seq) FROM entry WHERE log = NEW.log), 0)
       BEGIN SELECT RAISE(ABORT, 'entries are numbered without a gap'); END""",
    """CREATE TRIGGER entry_changed BEFORE UPDATE ON entry
       BEGIN SELECT RAISE(ABORT, 'an entry is never changed, strike it out'); END""",
    """CREATE TRIGGER entry_deleted BEFORE DELETE ON entry
       BEGIN SELECT RAISE(ABORT, 'an entry is never deleted, strike it out'); END""",
)

#: Each step is a sequence of statements.
STEPS: Final[tuple[tuple[str, ...], ...]] = (_FIRST,)

#: Marks the file as a shop of this package ("gudg" in ASCII).
APPLICATION: Final = 0x67756467
