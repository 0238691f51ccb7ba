"""gudgeon: measure, decide and choose select-fit parts for an engine rebuild, right first time."""

__version__ = "0.1.0"
