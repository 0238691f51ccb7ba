"""Bearing shells: by code, by measurement, and both weighed; what to fit where, and why."""

from gudgeon.fit.settings import ShellSettings, shell_settings
from gudgeon.fit.shells.report import ShellPick, ShellPicks, shell_picks

__all__ = [
    "ShellPick",
    "ShellPicks",
    "ShellSettings",
    "shell_picks",
    "shell_settings",
]
