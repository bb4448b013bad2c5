"""What the user has, wants and gets: frozen records, hours, units, errors, findings and the dispatch rule."""
