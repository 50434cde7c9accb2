"""`python -m surveyapp` does what the command `surveyapp` does."""

from surveyapp.cli import main

if __name__ == "__main__":
    main()
