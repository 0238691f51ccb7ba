"""Selective fit: which piece goes to which place."""
