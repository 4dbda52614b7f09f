-- A hole's row has its next task: what to do, with which tool, and how deep.

ALTER TABLE hole ADD COLUMN next_task TEXT NOT NULL DEFAULT '';

-- The photos that were removed, each on the face that it was added to.
CREATE TABLE removed_photo (
    id   BLOB PRIMARY KEY,
    face BLOB NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX removed_photo_by_face ON removed_photo (face, id);
