-- +goose Up

-- Which child redo goes to, 0 for none. Before this was kept it was the newest.
ALTER TABLE revisions ADD COLUMN redo INTEGER NOT NULL DEFAULT 0;
UPDATE revisions SET redo = coalesce(
    (SELECT max(child.number) FROM revisions child
     WHERE child.project = revisions.project AND child.parent = revisions.number), 0);

-- When a copy was last made by schedule; one row, or none.
CREATE TABLE backups (
    rowid INTEGER PRIMARY KEY CHECK (rowid = 1),
    at    INTEGER NOT NULL
) STRICT;
