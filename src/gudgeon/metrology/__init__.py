"""Sizes with their uncertainty, and decisions about them.

`measured` carries a value with its error sources, `student` holds the distributions,
`conformity` decides a value against its limits, `temperature` brings lengths to 20 °C, `form` fits
circles and planes, and `iso286` knows the standard tolerance classes.

On top of them the road runs: `readings` (typed → mm, by `instruments`, `blades`, `thermal`),
`sizes` (by the makers' `rules`), `findings` (against `limits`), with `suspicions` (slips, marks,
strings of marks, oversizes) and `stale` (what no longer holds) beside it. Stamped marks: a class as
a prior (`class_likelihood`), and which end a string was read from (`strings`, `string_ends`).
"""
