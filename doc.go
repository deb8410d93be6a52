// Package facings holds the nouns of the program: what a project is made of
// (paints, mixes, finishes, bodies, traits, units, calendars), what a plan is
// made of (roster, coats, passes, order, sittings, shopping), their units of
// measure, the defaults the trade takes for granted, and validation.
//
// It leaves everything else alone: it reads no file (internal/projectfile
// does), computes no colour (internal/pigment), deals no traits
// (internal/ranks) and orders nothing (internal/order).
//
// Units: areas in mm² at the body's own size of 28 mm unless scaled, volumes
// in millilitres, films in micrometres wet, times in seconds inside the engines
// and minutes on paper, temperatures in °C, humidity in percent.
//
// Start at Project, then Order. Where a number comes from, its comment says:
// a published source, common practice, an estimate, or memory.
package facings
