"""Questions that somebody has answered with "it is right as read", so that nobody asks again.

Such an answer is an entry of kind `setting` in the job's log: its name begins with
`right-as-read-` and ends in anything that makes it the only one of that name; its value is the id
of the entry that was questioned (or the group of the question, where it is about a whole engine).
Striking the setting out brings the question back.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

PREFIX: Final = "right-as-read-"


def right_as_read(settings: Mapping[str, str]) -> frozenset[str]:
    """The ids of entries, and the groups, that somebody stands by.

    >>> sorted(right_as_read({"right-as-read-1f": "m-07", "coverage": "2"}))
    ['m-07']
    """
    return frozenset(value for name, value in settings.items() if name.startswith(PREFIX))
