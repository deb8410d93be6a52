// Package cli is the command line: commands, flags and what they print. A
// result goes to standard output, as text for people or with --json as a value
// whose fields docs/json.md promises; findings go to standard error as
// file:line:column: message with a hint. Exit status 1 means bad input, 2
// wrong usage.
//
// It holds no rules of the trade: those are behind package app.
//
// Start with Main.
package cli
