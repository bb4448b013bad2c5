"""While it is being made: telling what happens, choosing after a failure, what to do now."""
