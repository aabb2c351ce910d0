"""Figures about slotfit that no test holds."""
