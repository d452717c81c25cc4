"""``python -m pennyweight`` is the command line."""

from .cli.main import main

if __name__ == "__main__":
    main()
