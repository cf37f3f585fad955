"""Papers of the shop: labels and tags with codes, cut lists, packing lists. Facts in, SVG or PDF out."""
