"""Valve shims: what each valve needs, what can be had, and what to fit where."""
