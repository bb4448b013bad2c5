"""The open project without Qt."""
