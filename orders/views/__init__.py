"""Pages of orders. Thin: each calls one service or selectors, then redirects or renders."""
