"""Sentences of the sheets Start and About, from texts.toml."""

import tomllib
from importlib.resources import files

TEXTS = tomllib.loads(files(__package__).joinpath("texts.toml").read_text("utf-8"))
PURPOSES, ABOUT = TEXTS["purposes"], TEXTS["about"]
PURPOSES["everything"] = PURPOSES["claim"]
