"""From what a machine says of itself to a board, parts and a build file, gaps and doubts shown."""
