"""Cross-sections of cold-formed lipped C joists: shape, gross and effective properties, cold work."""
