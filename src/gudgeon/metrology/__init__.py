"""Sizes with their uncertainty, and decisions about them.

`measured` carries a value with its error sources, `student` holds the distributions,
`conformity` decides a value against its limits, `temperature` brings lengths to 20 °C, `form` fits
circles and planes, and `iso286` knows the standard tolerance classes.
"""
