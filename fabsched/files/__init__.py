"""Every file format, in and out."""
