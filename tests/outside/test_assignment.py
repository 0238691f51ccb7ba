"""Published assignment problems, each with its published optimum."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from gudgeon.fit.assign import assign_matrix

DIMACS = [
    [22, 30, 26, 16, 25],
    [27, 29, 28, 20, 32],
    [33, 25, 21, 29, 23],
    [24, 24, 30, 19, 26],
    [30, 33, 32, 37, 31],
]
WORKERS = [[90, 80, 75, 70], [35, 85, 55, 65], [125, 95, 90, 95], [45, 110, 95, 115]]
WORKERS += [[50, 100, 90, 100]]

OR_LIBRARY = Path(__file__).parents[2].parent / "shared" / "orlib" / "assign100.txt"


def test_dimacs_five_by_five() -> None:
    """Source: the DIMACS assignment format's example, lpsolve.sourceforge.net/5.5/DIMACS_asn.htm.

    The matrix is the page's; its optimum was found over all 120 permutations.
    """
    least, most = assign_matrix(DIMACS), assign_matrix(DIMACS, maximise=True)
    assert least.total == 118
    assert [column + 1 for _, column in least.pairs] == [1, 4, 3, 2, 5]
    assert most.total == 162


def test_five_workers_four_tasks() -> None:
    """Source: developers.google.cn/optimization/assignment, total cost 265 as published."""
    answer = assign_matrix(WORKERS)
    assert answer.total == 265
    assert sorted(WORKERS[i][j] for i, j in answer.pairs) == [45, 55, 70, 95]


@pytest.mark.skipif(
    not OR_LIBRARY.exists(), reason="needs assign100.txt of the OR-Library in ../shared/orlib"
)
def test_or_library_assign100() -> None:
    """Source: J. E. Beasley, OR-Library, problem assign100, published optimum 305."""
    text = OR_LIBRARY.read_bytes()
    assert hashlib.sha256(text).hexdigest().startswith("90c9c7cd")
    size, *entries = (int(word) for word in text.split())
    matrix = [entries[line * size : (line + 1) * size] for line in range(size)]
    assert assign_matrix(matrix).total == 305
