// Package sitting knows the calendar: when each painter sits at the bench,
// what a date means in the project's zone, and how sure a finish date is.
//
// It leaves the order of work alone; a forecast replays an order through a
// function handed in by the caller.
//
// Units: minutes at the bench; instants are time.Time in the project's zone,
// so that a change of clocks neither loses nor doubles an hour.
//
// Start with Windows, then Forecast.
package sitting
