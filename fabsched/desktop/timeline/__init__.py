"""The timeline: what is on it, where it lies, how it is drawn and how it is handled."""
