-- A hole's row has its next task: what to do, with which tool, and how deep.

ALTER TABLE hole ADD COLUMN next_task TEXT NOT NULL DEFAULT '';
