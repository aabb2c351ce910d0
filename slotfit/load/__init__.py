"""YAML in, every mistake with its line."""
