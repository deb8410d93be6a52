// Package check is the independent checker: it goes over every roster and
// every order before anybody sees it, in production too.
//
// It knows the rules of a plan (docs/ARCHITECTURE.md, and the design behind it)
// and the nouns, and works everything out again for itself; it knows no solver
// and imports neither solve nor ranks nor order. What it finds is a fault of
// the program, never of the user's project, so its findings name the figure and
// the times concerned.
//
// Times are compared to the second.
//
// Start with Roster and Order.
package check
