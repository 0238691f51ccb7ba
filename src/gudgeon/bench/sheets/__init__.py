"""Sheets in the browser: the shop's folder of them, their values as fields, and saving."""
