// Package app is the one door to what Facings can do: the use cases that the
// command line, the pages and the sheets go through. It joins the rooms, runs
// the independent checker over every roster and order before anything is
// shown, and keeps no state.
//
// It knows no terminal, no HTTP and no file format's details.
//
// Start with App.Plan.
package app
