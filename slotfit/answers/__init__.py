"""Answers: one folder a question, with the answer, how it is worked out and how it is said."""
