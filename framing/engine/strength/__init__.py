"""Strength of one lipped C joist by AISI S100-16: one clause, one function; no loads and no plies here."""
