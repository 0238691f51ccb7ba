"""The store: logs that are only ever appended to, in one file in the shop's folder."""
