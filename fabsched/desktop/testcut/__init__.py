"""Test cuts: a ladder put out, and what came of it."""
