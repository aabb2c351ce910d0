"""What a person sees: how long answers are, how they fit a terminal, which words they use."""
