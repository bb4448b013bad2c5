"""Solids seen in space, drawn by ourselves: it has to work where there is no OpenGL."""
