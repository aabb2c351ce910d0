"""Parse, call, print, exit."""
