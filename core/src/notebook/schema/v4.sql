-- A hole's row counts its open problems, and a face's row has the stock that is left to remove.

DROP TABLE face;
CREATE TABLE face (
    id          BLOB PRIMARY KEY,
    casting     BLOB NOT NULL,
    name        TEXT NOT NULL,
    planned_nm  INTEGER,
    left_nm     INTEGER,
    conflict    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX face_by_casting ON face (casting, id);

-- `stage` and `problems` are derived from all active entries about the hole, its face, and its
-- casting.
DROP TABLE hole;
CREATE TABLE hole (
    id       BLOB PRIMARY KEY,
    face     BLOB NOT NULL,
    number   INTEGER NOT NULL,
    x_nm     INTEGER,
    y_nm     INTEGER,
    thread   TEXT,
    remedy   TEXT,
    stage    TEXT NOT NULL,
    conflict INTEGER NOT NULL,
    problems INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX hole_by_face ON hole (face, number, id);
-- Counts a face's holes by stage without reading the rest of their rows.
CREATE INDEX hole_by_stage ON hole (face, stage, conflict, problems);
