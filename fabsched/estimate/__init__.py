"""From geometry to time, material and size."""
