"""Changing a sheet's text where it stands: every other byte of the file stays as it was written."""

from gudgeon.sheet.edit.change import Change, Kind, change

__all__ = ["Change", "Kind", "change"]
