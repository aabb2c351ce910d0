"""What the hardware makes of the facts: how links train, what bodies cover, what flows."""
