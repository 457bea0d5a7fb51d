"""`python -m tagtrack` is the same as `tagtrack`."""

from tagtrack.cli.main import run

if __name__ == "__main__":
    run()
