"""`python -m turnability` is `turnability`."""

from turnability.cli import main

if __name__ == "__main__":
    main()
