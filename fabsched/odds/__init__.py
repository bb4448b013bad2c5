"""A plan played forward over many simulated weekends."""
