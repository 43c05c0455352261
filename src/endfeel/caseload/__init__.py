"""Questions about many episodes at once, written once and answered by any engine."""
