"""Drawings of the bench: the engine as the way in, and small figures beside numbers."""
