"""Sentences of the sheets Start and About, which stand in words.toml."""

import tomllib
from importlib.resources import files

WORDS = tomllib.loads(files(__package__).joinpath("words.toml").read_text("utf-8"))
PURPOSES, ABOUT = WORDS["purposes"], WORDS["about"]
PURPOSES["everything"] = PURPOSES["claim"]
