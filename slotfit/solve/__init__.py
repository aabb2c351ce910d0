"""Clauses in, plan out; the only package that imports OR-Tools."""
