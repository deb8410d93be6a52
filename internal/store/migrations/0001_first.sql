-- +goose Up

-- "Face", so that a database of another program is told apart from ours.
PRAGMA application_id = 1180787557;

-- Times are microseconds since 1970, UTC. Hashes are SHA-256.

CREATE TABLE projects (
    rowid   INTEGER PRIMARY KEY,
    id      TEXT NOT NULL UNIQUE,
    name    TEXT NOT NULL,
    made    INTEGER NOT NULL,
    changed INTEGER NOT NULL, -- never goes back
    head    INTEGER NOT NULL, -- number of the revision in force
    gone    INTEGER           -- when it was thrown away
) STRICT;

-- Project files and lists of files (JSON: name to hash), each kept once.
CREATE TABLE texts (
    rowid  INTEGER PRIMARY KEY,
    hash   BLOB NOT NULL UNIQUE,
    size   INTEGER NOT NULL,
    packed BLOB NOT NULL -- deflate
) STRICT;

CREATE TABLE revisions (
    project INTEGER NOT NULL REFERENCES projects,
    number  INTEGER NOT NULL,
    parent  INTEGER NOT NULL, -- 0 for the first
    at      INTEGER NOT NULL,
    device  TEXT NOT NULL,
    why     TEXT NOT NULL,
    text    INTEGER NOT NULL REFERENCES texts,
    files   INTEGER REFERENCES texts,
    PRIMARY KEY (project, number)
) STRICT, WITHOUT ROWID;

-- Meshes, pictures and photographs: each content kept once, in pieces.
CREATE TABLE contents (
    rowid INTEGER PRIMARY KEY,
    hash  BLOB NOT NULL UNIQUE,
    size  INTEGER NOT NULL
) STRICT;

CREATE TABLE pieces (
    rowid   INTEGER PRIMARY KEY,
    content INTEGER NOT NULL REFERENCES contents,
    number  INTEGER NOT NULL, -- from 0; all but the last are of one size
    bytes   BLOB NOT NULL,
    UNIQUE (content, number)
) STRICT;

CREATE TABLE files (
    project INTEGER NOT NULL REFERENCES projects,
    content INTEGER NOT NULL REFERENCES contents,
    PRIMARY KEY (project, content)
) STRICT, WITHOUT ROWID;

CREATE TABLE entries (
    project INTEGER NOT NULL REFERENCES projects,
    seq     INTEGER NOT NULL, -- from 1, without a gap
    id      TEXT NOT NULL,
    kept    INTEGER NOT NULL,
    body    TEXT NOT NULL, -- JSON
    PRIMARY KEY (project, seq),
    UNIQUE (project, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE memory (
    key   TEXT PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;
