-- Exchange: what this notebook was called before, and where each device's lines end.

-- The device ids that the notebook has written under and gave up when it found that it was copied.
CREATE TABLE former_device (
    device BLOB PRIMARY KEY
) STRICT, WITHOUT ROWID;

-- Worked out: the last line of each device; two where a notebook was copied and both copies went on.
CREATE TABLE head (
    device BLOB NOT NULL,
    hash   BLOB NOT NULL,
    seq    INTEGER NOT NULL,
    PRIMARY KEY (device, hash)
) STRICT, WITHOUT ROWID;

-- How many holes of a face are in each state, without looking at the rest of their rows.
CREATE INDEX hole_by_state ON hole_now (face, state, in_question);
