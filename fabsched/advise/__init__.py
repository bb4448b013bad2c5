"""Advice on how to make things, what to check and what to do after a setback."""
