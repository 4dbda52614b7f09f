-- The first version.

-- What entries are about, numbered as they came to this notebook. The numbers mean nothing to others.
CREATE TABLE thing (
    k  INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE
) STRICT;

-- The journal, which is the truth. `n` is 2^24 times the thing's number, plus the entry's place among those about it: so
-- what is written about one thing lies together, and a hole's page reads a few neighbouring pages of the file, however
-- much else there is. The columns between `n` and `line` repeat what the line says so that it can be looked up.
CREATE TABLE entry (
    n       INTEGER PRIMARY KEY,
    id      BLOB NOT NULL UNIQUE,
    device  BLOB NOT NULL,
    seq     INTEGER NOT NULL,
    kind    TEXT NOT NULL,
    subject BLOB NOT NULL,
    hash    BLOB NOT NULL,
    line    TEXT NOT NULL,
    UNIQUE (device, seq, hash)
) STRICT;

CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;

CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;

-- What belongs to this notebook alone and is not in the journal: its device id, the person, the unit.
CREATE TABLE setting (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- All that follows is worked out from the journal and can be built again from nothing.

-- How each entry takes part: whether this version understands it, whether it is struck or replaced.
CREATE TABLE said (
    n          INTEGER PRIMARY KEY,
    slot       BLOB,
    understood INTEGER NOT NULL,
    struck     INTEGER NOT NULL,
    replaced   INTEGER NOT NULL
) STRICT;

-- Which entry (`source`) strikes (`act` 0) or replaces (`act` 1) which (`target`). The target may not be here yet.
CREATE TABLE edge (
    target BLOB NOT NULL,
    act    INTEGER NOT NULL,
    source BLOB NOT NULL,
    PRIMARY KEY (target, act, source)
) STRICT, WITHOUT ROWID;
CREATE INDEX edge_by_source ON edge (source, act);

CREATE TABLE device_now (
    id   BLOB PRIMARY KEY,
    name TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE casting_now (
    id          BLOB PRIMARY KEY,
    name        TEXT NOT NULL,
    note        TEXT,
    in_question INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE face_now (
    id          BLOB PRIMARY KEY,
    casting     BLOB NOT NULL,
    name        TEXT NOT NULL,
    cut_nm      INTEGER,
    in_question INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX face_by_casting ON face_now (casting, id);

CREATE TABLE photo_now (
    id        BLOB PRIMARY KEY,
    face      BLOB NOT NULL,
    hash      TEXT NOT NULL,
    width_px  INTEGER NOT NULL,
    height_px INTEGER NOT NULL,
    taken_at  TEXT,
    name      TEXT
) STRICT, WITHOUT ROWID;
CREATE INDEX photo_by_face ON photo_now (face, id);

-- `state` is worked out by the hole room from all that stands about the hole.
CREATE TABLE hole_now (
    id          BLOB PRIMARY KEY,
    face        BLOB NOT NULL,
    number      INTEGER NOT NULL,
    x_nm        INTEGER,
    y_nm        INTEGER,
    thread      TEXT,
    remedy      TEXT,
    state       TEXT NOT NULL,
    in_question INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX hole_by_face ON hole_now (face, number, id);

CREATE TABLE mark_now (
    photo       BLOB NOT NULL,
    hole        BLOB NOT NULL,
    x_px        REAL NOT NULL,
    y_px        REAL NOT NULL,
    in_question INTEGER NOT NULL,
    PRIMARY KEY (photo, hole)
) STRICT, WITHOUT ROWID;
CREATE INDEX mark_by_hole ON mark_now (hole, photo);
