// Package ranks decides who stands where in a unit and what differs from man
// to man: it lays each unit out in ranks and files, turns the shares wanted
// into whole figures by largest remainder, and has the engine solve/seat deal
// the traits so that neighbours differ as much as they can.
//
// It leaves alone what a trait means for paint: that is the scheme's.
//
// Start with Deal.
package ranks
