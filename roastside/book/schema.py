"""The tables of the book, and the steps by which an older book becomes today's.

A step is never changed once a book was made with it: a change of the tables is a new step.

Times of day are ISO 8601 text. `started_at` is as the recording tells it, with its offset from UTC;
`started_utc` is the same moment in UTC, so that text sorts by time. Weights are grams, temperatures
°C, durations seconds, shares 0 to 1.
"""

from __future__ import annotations

_STEP_1 = """
CREATE TABLE coffee (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (name <> ''),
    decaf INTEGER NOT NULL DEFAULT 0 CHECK (decaf IN (0, 1)),
    remarks TEXT NOT NULL DEFAULT '',
    current_version_id INTEGER REFERENCES reference_version ON DELETE SET NULL
) STRICT;

CREATE TABLE lot (
    id INTEGER PRIMARY KEY,
    coffee_id INTEGER NOT NULL REFERENCES coffee ON DELETE CASCADE,
    name TEXT NOT NULL COLLATE NOCASE CHECK (name <> ''),
    supplier TEXT NOT NULL DEFAULT '',
    received_on TEXT,
    remarks TEXT NOT NULL DEFAULT '',
    UNIQUE (coffee_id, name)
) STRICT;

CREATE TABLE reference (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (name <> ''),
    coffee_id INTEGER REFERENCES coffee ON DELETE SET NULL
) STRICT;

-- The curve is in the file; what is here can be read from it again. `parent_title` is the version
-- it was made from as the file names it, whether that is there or not; `current_since` is UTC.
CREATE TABLE reference_version (
    id INTEGER PRIMARY KEY,
    reference_id INTEGER NOT NULL REFERENCES reference ON DELETE CASCADE,
    version INTEGER NOT NULL CHECK (version > 0),
    title TEXT NOT NULL UNIQUE COLLATE NOCASE,
    file TEXT NOT NULL UNIQUE,
    content_hash TEXT NOT NULL,
    size_bytes INTEGER NOT NULL,
    modified_ns INTEGER NOT NULL,
    origin TEXT NOT NULL CHECK (origin IN ('roast', 'repeats', 'edit', 'file')),
    parent_title TEXT NOT NULL DEFAULT '',
    parent_id INTEGER REFERENCES reference_version ON DELETE SET NULL,
    current_since TEXT,
    made_at TEXT,
    author TEXT NOT NULL DEFAULT '',
    change TEXT NOT NULL DEFAULT '',
    reason TEXT NOT NULL DEFAULT '',
    UNIQUE (reference_id, version)
) STRICT;

-- Planned changes of the controls, kept with a version.
CREATE TABLE cue (
    version_id INTEGER NOT NULL REFERENCES reference_version ON DELETE CASCADE,
    ordinal INTEGER NOT NULL,
    elapsed_s REAL NOT NULL,
    bean_c REAL NOT NULL,
    words TEXT NOT NULL,
    PRIMARY KEY (version_id, ordinal)
) STRICT, WITHOUT ROWID;

-- One recording. Everything but id can be read from its file again.
CREATE TABLE roast (
    id INTEGER PRIMARY KEY,
    file TEXT NOT NULL UNIQUE,
    content_hash TEXT NOT NULL,
    opening_hash TEXT NOT NULL,
    size_bytes INTEGER NOT NULL,
    modified_ns INTEGER NOT NULL,
    started_at TEXT,
    started_utc TEXT,
    title TEXT NOT NULL,
    coffee_id INTEGER REFERENCES coffee ON DELETE SET NULL,
    lot_id INTEGER REFERENCES lot ON DELETE SET NULL,
    reference_title TEXT NOT NULL DEFAULT '',
    version_id INTEGER REFERENCES reference_version ON DELETE SET NULL,
    roasted_by TEXT NOT NULL DEFAULT '',
    charge_weight_g REAL,
    roasted_weight_g REAL,
    loss REAL,
    colour REAL,
    verdict TEXT NOT NULL DEFAULT '' CHECK (verdict IN ('', 'good', 'fair', 'poor')),
    cup_score REAL,
    remarks TEXT NOT NULL DEFAULT '',
    settled INTEGER NOT NULL DEFAULT 0 CHECK (settled IN (0, 1)),
    total_s REAL,
    drying_share REAL,
    browning_share REAL,
    development_s REAL,
    development_ratio REAL,
    charge_c REAL,
    turning_point_s REAL,
    turning_point_c REAL,
    yellowing_s REAL,
    yellowing_c REAL,
    first_crack_s REAL,
    first_crack_c REAL,
    drop_c REAL,
    worst_departure_c REAL,
    within_share REAL,
    readings INTEGER NOT NULL DEFAULT 0,
    search TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE INDEX roast_by_start ON roast (started_utc);
CREATE INDEX roast_by_coffee ON roast (coffee_id, started_utc);
CREATE INDEX roast_by_version ON roast (version_id, started_utc);
CREATE INDEX roast_by_opening ON roast (opening_hash);

-- The roasts a version was made from.
CREATE TABLE version_source (
    version_id INTEGER NOT NULL REFERENCES reference_version ON DELETE CASCADE,
    file TEXT NOT NULL,
    PRIMARY KEY (version_id, file)
) STRICT, WITHOUT ROWID;

-- Files in the folders of recordings and references that could not be taken in, and why.
CREATE TABLE refused (
    file TEXT PRIMARY KEY,
    size_bytes INTEGER NOT NULL,
    modified_ns INTEGER NOT NULL,
    reason TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE note (
    id INTEGER PRIMARY KEY,
    written_at TEXT NOT NULL,
    author TEXT NOT NULL DEFAULT '',
    text TEXT NOT NULL CHECK (text <> ''),
    coffee_id INTEGER REFERENCES coffee ON DELETE CASCADE,
    version_id INTEGER REFERENCES reference_version ON DELETE CASCADE,
    CHECK ((coffee_id IS NULL) <> (version_id IS NULL))
) STRICT;

-- Settings that belong to the data and travel with it, as JSON.
CREATE TABLE setting (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
"""

_STEP_2 = """
-- What people wrote about a version is held by the version's title, as roasts call it: the file of
-- the version may be away for a while, and the version with it.
CREATE TABLE note_by_title (
    id INTEGER PRIMARY KEY,
    written_at TEXT NOT NULL,
    author TEXT NOT NULL DEFAULT '',
    text TEXT NOT NULL CHECK (text <> ''),
    coffee_id INTEGER REFERENCES coffee ON DELETE CASCADE,
    version_title TEXT COLLATE NOCASE CHECK (version_title <> ''),
    CHECK ((coffee_id IS NULL) <> (version_title IS NULL))
) STRICT;

INSERT INTO note_by_title (id, written_at, author, text, coffee_id, version_title)
    SELECT note.id, note.written_at, note.author, note.text, note.coffee_id,
    CASE WHEN note.coffee_id IS NULL THEN coalesce(v.title, 'a version nobody knows') END FROM note
    LEFT JOIN reference_version AS v ON v.id = note.version_id;

DROP TABLE note;

ALTER TABLE note_by_title RENAME TO note;

CREATE INDEX note_by_coffee ON note (coffee_id);
CREATE INDEX note_by_version ON note (version_title);

-- What a coffee, and a lot of one, was called before. Files that say so are still of it.
CREATE TABLE former_name (
    name TEXT PRIMARY KEY COLLATE NOCASE CHECK (name <> ''),
    coffee_id INTEGER NOT NULL REFERENCES coffee ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE TABLE former_lot_name (
    coffee_id INTEGER NOT NULL REFERENCES coffee ON DELETE CASCADE,
    name TEXT NOT NULL COLLATE NOCASE CHECK (name <> ''),
    lot_id INTEGER NOT NULL REFERENCES lot ON DELETE CASCADE,
    PRIMARY KEY (coffee_id, name)
) STRICT, WITHOUT ROWID;
"""

STEPS: tuple[str, ...] = (_STEP_1, _STEP_2)
"""Step n makes a book of version n out of one of version n - 1."""

VERSION = len(STEPS)
