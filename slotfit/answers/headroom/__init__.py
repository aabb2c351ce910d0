"""What a plan leaves room for."""
