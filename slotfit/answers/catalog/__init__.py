"""What the `catalog` command does with descriptions: list, show, lint, schemas, starting files."""
