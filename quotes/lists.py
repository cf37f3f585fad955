"""The lists of this app."""


def register() -> None:
    """Nothing yet."""
