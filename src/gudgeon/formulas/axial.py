"""End float of a shaft between two case halves, and the shim that sets it."""

from __future__ import annotations

from gudgeon.formulas import Size


def end_float(
    depth_1: Size, depth_2: Size, gasket: Size | float, shaft: Size | float, shim: Size | float
) -> Size:
    """End float: depth 1 + depth 2 + gasket − shaft − shim.

    `depth_1` [mm] and `depth_2` [mm] from the joint faces to the thrust faces, `gasket` [mm] as
    crushed, `shaft` [mm] over its shoulders, `shim` [mm]. Negative: the shaft is squeezed.

    Source: elementary geometry.

    >>> round(end_float(41.83, 39.42, 0.35, 81.12, 0.30), 6)
    0.18
    """
    return depth_1 + depth_2 + gasket - shaft - shim


def end_float_shim(
    depth_1: Size, depth_2: Size, gasket: Size | float, shaft: Size | float, wanted: Size | float
) -> Size:
    """The shim for a wanted end float: depth 1 + depth 2 + gasket − shaft − float.

    `depth_1` [mm], `depth_2` [mm], `gasket` [mm] and `shaft` [mm] as for `end_float`; `wanted`
    [mm] is the float, negative for a preload.

    Source: elementary geometry.

    >>> round(end_float_shim(41.83, 39.42, 0.35, 81.12, 0.15), 6)
    0.33
    """
    return depth_1 + depth_2 + gasket - shaft - wanted
