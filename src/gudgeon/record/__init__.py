"""The record: what was found and chosen, drawn and written down to be handed over.

Drawings and figures are our own SVG functions with colours as parameters; the PDF is set by typst,
which gets every text as data and never as markup. Nothing here decides anything: it shows what
findings, picks and order have computed.
"""
