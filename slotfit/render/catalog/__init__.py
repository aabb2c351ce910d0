"""Descriptions as lists, cards and remarks."""
