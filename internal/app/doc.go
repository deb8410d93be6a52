// Package app is the one door to what Facings can do: the use cases that the
// command line, the pages and the sheets go through. It joins the rooms, runs
// the independent checker over every roster and order before anything is
// shown. App keeps no state; Desk, the use cases behind the pages, holds what is
// open and plans it in the background, and asks a Keeper for the rest.
//
// It knows no terminal, no HTTP and no file format's details.
//
// Start with App.Plan, or for the pages with Desk in desk.go.
package app
