"""Lets `python -m slotfit` do what the `slotfit` command does."""

from slotfit.cli.start import run

if __name__ == "__main__":
    run()
