-- What happens to a visit after it was first written: corrections, photographs, blankings, where it was brought from.

CREATE TABLE corrections (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    target TEXT NOT NULL,
    field TEXT NOT NULL,
    before TEXT NOT NULL,
    after TEXT NOT NULL,
    "by" TEXT NOT NULL,
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
CREATE INDEX corrections_by_field ON corrections(field, before);

CREATE TABLE attachments (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    file TEXT NOT NULL,
    original_name TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    bytes INTEGER NOT NULL,
    media_type TEXT NOT NULL,
    caption TEXT NOT NULL,
    "by" TEXT NOT NULL,
    at TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

-- One marker for each blanking; what it says is never blanked itself.
CREATE TABLE blankings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    recording TEXT NOT NULL,
    start REAL,
    "end" REAL,
    what TEXT NOT NULL,
    "by" TEXT NOT NULL,
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

-- The rows a blanking changed, and the seal each has had since.
CREATE TABLE blanked_rows (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    blanking INTEGER NOT NULL,
    tab TEXT NOT NULL,
    "row" INTEGER NOT NULL,
    seal_after TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

-- A visit brought in from another store: which store, its head then, and its ledger's lines about the visit.
CREATE TABLE origins (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    store TEXT NOT NULL,
    head TEXT NOT NULL,
    lines TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE INDEX ledger_by_visit ON ledger(visit);
