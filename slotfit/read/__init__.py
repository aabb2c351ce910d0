"""What a machine says of itself."""
