"""`python -m ohmwright`."""

from ohmwright.cli import main

if __name__ == "__main__":
    main()
