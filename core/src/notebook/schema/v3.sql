-- The terms in use today. Entries stay as they are; all projection tables are created anew.

ALTER TABLE thing RENAME TO subject;
ALTER TABLE subject RENAME COLUMN k TO number;

UPDATE setting SET name = 'pushed' WHERE name = 'left-on-a-shelf';
UPDATE setting SET name = 'remotes' WHERE name = 'shelves';
UPDATE setting SET name = 'keep-photo-gps' WHERE name = 'keep-location';
DELETE FROM setting WHERE name = 'worked-out';

DROP TABLE said;
DROP TABLE edge;
DROP TABLE device_now;
DROP TABLE casting_now;
DROP TABLE face_now;
DROP TABLE photo_now;
DROP TABLE hole_now;
DROP TABLE mark_now;

-- The status of each entry. `kind` is today's name of the entry's kind, whatever name the line has;
-- the line's own name if this version does not know it. `slot` is the photo of a mark.
CREATE TABLE entry_status (
    n          INTEGER PRIMARY KEY,
    kind       TEXT NOT NULL,
    slot       BLOB,
    understood INTEGER NOT NULL,
    struck_out INTEGER NOT NULL,
    replaced   INTEGER NOT NULL
) STRICT;

-- Which entry (`source`) strikes out (`kind` 0) or replaces (`kind` 1) which (`target`). The target
-- may not be here yet.
CREATE TABLE entry_link (
    target BLOB NOT NULL,
    kind   INTEGER NOT NULL,
    source BLOB NOT NULL,
    PRIMARY KEY (target, kind, source)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_link_by_source ON entry_link (source, kind);

CREATE TABLE device (
    id   BLOB PRIMARY KEY,
    name TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE casting (
    id       BLOB PRIMARY KEY,
    name     TEXT NOT NULL,
    note     TEXT,
    conflict INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE face (
    id          BLOB PRIMARY KEY,
    casting     BLOB NOT NULL,
    name        TEXT NOT NULL,
    face_cut_nm INTEGER,
    conflict    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX face_by_casting ON face (casting, id);

CREATE TABLE photo (
    id        BLOB PRIMARY KEY,
    face      BLOB NOT NULL,
    hash      TEXT NOT NULL,
    width_px  INTEGER NOT NULL,
    height_px INTEGER NOT NULL,
    taken_at  TEXT,
    name      TEXT
) STRICT, WITHOUT ROWID;
CREATE INDEX photo_by_face ON photo (face, id);

-- `stage` is derived from all active entries about the hole.
CREATE TABLE hole (
    id       BLOB PRIMARY KEY,
    face     BLOB NOT NULL,
    number   INTEGER NOT NULL,
    x_nm     INTEGER,
    y_nm     INTEGER,
    thread   TEXT,
    remedy   TEXT,
    stage    TEXT NOT NULL,
    conflict INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX hole_by_face ON hole (face, number, id);
-- Counts a face's holes by stage without reading the rest of their rows.
CREATE INDEX hole_by_stage ON hole (face, stage, conflict);

CREATE TABLE mark (
    photo    BLOB NOT NULL,
    hole     BLOB NOT NULL,
    x_px     REAL NOT NULL,
    y_px     REAL NOT NULL,
    conflict INTEGER NOT NULL,
    PRIMARY KEY (photo, hole)
) STRICT, WITHOUT ROWID;
CREATE INDEX mark_by_hole ON mark (hole, photo);
