"""Which part goes in which receptacle of a board, proven and explained."""

__version__ = "0.1.0.dev0"

__all__ = ["__version__"]
