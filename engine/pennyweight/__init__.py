"""The economics of a small gold mill."""
