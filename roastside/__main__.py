"""`python -m roastside` is `roastside`."""

from roastside.cli import main

raise SystemExit(main())
