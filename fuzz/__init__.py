"""Hostile text against everything that reads text: `make fuzz`. Coverage-guided where atheris is installed."""
