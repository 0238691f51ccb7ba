"""The log: what was seen and done, as entries that are only ever added."""
