"""Advice: what would win most chance, what would make a weekend fit, and what is not in hand."""
