"""Bearing shells: by code, by measurement, and both weighed; what to fit where, and why."""

from gudgeon.fit.shells.report import ShellPick, ShellPicks, shell_picks
from gudgeon.fit.shells.settings import ShellSettings, shell_settings

__all__ = [
    "ShellPick",
    "ShellPicks",
    "ShellSettings",
    "shell_picks",
    "shell_settings",
]
