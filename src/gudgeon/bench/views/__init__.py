"""One module a page: its address, its rule, and the plain values that it shows."""
