"""`python -m endfeel`: the same as the `endfeel` command."""

from endfeel.cli.main import main

raise SystemExit(main())
