// Package store keeps projects, their revisions, files and progress in one
// SQLite file, and makes copies of it. It is the keeper that package app asks
// for.
//
// Revisions are only ever added. Each knows the one it was made from, so they
// form a tree; the project points at the one in force, and undo and redo move
// that pointer along the tree. Whoever edits says which revision the edit was
// made from, and is told if another came first. The log of progress is only
// added to as well. Texts and files are kept once each, by their SHA-256,
// within the database, so that one file is the whole and a copy of it is a
// backup.
//
// What is answered without an error is on the disk: the journal is a write-ahead
// log flushed at every commit. One connection writes, several read beside it;
// several programs may have the same file open, and wait for each other. A
// write that fails (disk full, killed half-way) leaves what was there before.
//
// It knows nothing of what a project file or a plan says. Times are the clock's,
// to the microsecond, in UTC; a project's own never go back, whatever the clock
// does.
//
// Start with Open in store.go. The tables are in migrations, copies in backup.go.
package store
