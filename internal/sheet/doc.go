// Package sheet makes what is printed: flags at the right size, pass cards,
// lists, the formation plan; and two files that are not printed, the calendar
// and the palette.
//
// A sheet is a scene of pages in millimetres, origin at the top left, y down
// (scene.go), written as PDF, SVG or PNG (pdf.go, svg.go, png.go). It takes
// plain values from the root package and knows no files: pictures come as
// bytes, results go out as bytes. The same input gives the same bytes.
//
// It leaves alone what colours a paint will show: the caller passes them.
//
// References: ISO 216 and ANSI/ASME Y14.1 for paper, ISO 32000-1 for PDF, W3C
// SVG 1.1 and PNG for pictures, RFC 5545 for the calendar.
//
// Start with Flags and Document.
package sheet
