"""Hours painted on a week."""
