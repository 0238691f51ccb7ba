"""The bench: the web app for a tablet or phone next to the engine. See docs/bench.md."""
