"""The Textual app: screens and widgets. No arithmetic, SQL, files or serial lines here."""
