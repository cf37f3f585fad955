"""Strength of one lipped C joist by AISI S100: one function for each clause, in ASD, LRFD or LSD."""
