-- Visits and what was heard, understood and judged in them.
--
-- Covered tables (append-only, sealed, chained by the ledger) carry these columns beside their content:
--   visit, n   which visit, and the running number of the row in it
--   event      the line of the ledger that wrote the row; no foreign key, since the line is written last, and SQLite
--              would then look through every table for rows that wait for it ('verify' checks it instead)
--   salt       16 random bytes that go into the seal, so that a blanked word cannot be guessed from it
--   seal       SHA-256 over the salt and the row's content (journal/keep/seals.py)
--   blanked    the blanking that last changed the row, if one did
-- Decimals are TEXT exactly as said; 'more' holds the small nested parts as JSON.
-- overview, machines and findable are caches: made again from the covered tables, not covered themselves.

CREATE TABLE about (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) WITHOUT ROWID;

CREATE TABLE ledger (
    seq INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    visit INTEGER,
    action TEXT NOT NULL,
    "by" TEXT NOT NULL,
    why TEXT NOT NULL,
    counts TEXT NOT NULL,
    "rows" BLOB NOT NULL,
    previous BLOB NOT NULL,
    hash BLOB NOT NULL
);

CREATE TABLE visits (
    visit INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    code TEXT NOT NULL UNIQUE,
    started TEXT,
    started_from TEXT NOT NULL,
    made TEXT NOT NULL,
    title TEXT NOT NULL,
    technician TEXT,
    site TEXT,
    status TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER
);

CREATE TABLE recordings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    name TEXT NOT NULL,
    file TEXT NOT NULL,
    original_name TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    seconds REAL NOT NULL,
    started TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE utterances (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    recording TEXT NOT NULL,
    position INTEGER NOT NULL,
    heard_by TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

-- Part of their utterance: the utterance's seal covers them.
CREATE TABLE words (
    visit INTEGER NOT NULL,
    utterance INTEGER NOT NULL,
    n INTEGER NOT NULL,
    text TEXT NOT NULL,
    start REAL NOT NULL,
    "end" REAL NOT NULL,
    confidence REAL NOT NULL,
    PRIMARY KEY (visit, utterance, n),
    FOREIGN KEY (visit, utterance) REFERENCES utterances(visit, n)
) WITHOUT ROWID;

CREATE TABLE equipment (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    name TEXT NOT NULL,
    type TEXT,
    maker TEXT,
    model TEXT,
    serial TEXT,
    refrigerant TEXT,
    charge TEXT,
    charge_unit TEXT,
    location TEXT,
    use TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE readings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    role TEXT NOT NULL,
    value TEXT,
    low TEXT,
    high TEXT,
    state TEXT,
    unit TEXT,
    component TEXT,
    points TEXT NOT NULL,
    equipment TEXT,
    phase TEXT NOT NULL,
    withdrawn INTEGER NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE findings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    what TEXT NOT NULL,
    component TEXT,
    equipment TEXT,
    negated INTEGER NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE work (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    action TEXT NOT NULL,
    component TEXT,
    amount TEXT,
    unit TEXT,
    part TEXT,
    equipment TEXT,
    done INTEGER NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE notes (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    topic TEXT NOT NULL,
    text TEXT NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE fields (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    source TEXT NOT NULL,
    equipment TEXT,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

-- One judging of a visit; the last one holds, earlier ones stay.
CREATE TABLE assessments (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    at TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE verdicts (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    assessment INTEGER NOT NULL,
    id TEXT NOT NULL,
    "check" TEXT NOT NULL,
    version INTEGER NOT NULL,
    title TEXT NOT NULL,
    outcome TEXT NOT NULL,
    authority TEXT NOT NULL,
    plain TEXT NOT NULL,
    value TEXT,
    unit TEXT,
    equipment TEXT,
    component TEXT,
    phase TEXT NOT NULL,
    rests_on_doubt INTEGER NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE diagnoses (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    assessment INTEGER NOT NULL,
    id TEXT NOT NULL,
    title TEXT NOT NULL,
    because TEXT NOT NULL,
    confirm TEXT NOT NULL,
    proposed_by TEXT NOT NULL,
    equipment TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;

CREATE TABLE overview (
    visit INTEGER PRIMARY KEY,
    id TEXT NOT NULL,
    code TEXT NOT NULL,
    moment TEXT NOT NULL,
    started TEXT,
    made TEXT NOT NULL,
    title TEXT NOT NULL,
    technician TEXT,
    site TEXT,
    status TEXT NOT NULL,
    complaint TEXT NOT NULL,
    machines TEXT NOT NULL,
    seconds REAL NOT NULL,
    readings INTEGER NOT NULL,
    doubtful INTEGER NOT NULL,
    corrected INTEGER NOT NULL,
    within INTEGER NOT NULL,
    marginal INTEGER NOT NULL,
    outside INTEGER NOT NULL,
    undetermined INTEGER NOT NULL
);
CREATE INDEX overview_by_moment ON overview(moment DESC);

CREATE TABLE machines (
    visit INTEGER NOT NULL,
    n INTEGER NOT NULL,
    name TEXT NOT NULL COLLATE NOCASE,
    serial TEXT COLLATE NOCASE,
    site TEXT COLLATE NOCASE,
    maker TEXT,
    model TEXT,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
CREATE INDEX machines_by_serial ON machines(serial);
CREATE INDEX machines_by_site ON machines(site, name);
CREATE INDEX machines_by_name ON machines(name);

CREATE VIRTUAL TABLE findable USING fts5(
    narration, findings, work, notes, machine,
    tokenize = "porter unicode61 remove_diacritics 2"
);
