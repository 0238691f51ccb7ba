"""Single calculations for someone with one question.

`units` and `quantities` read what was typed, `calculation` says what one calculation is and runs
it, and `registry` is the table of all there are: one entry each.
"""
