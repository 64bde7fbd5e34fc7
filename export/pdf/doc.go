// Package pdf writes printed pages: drawings at true size, forms, and running
// text with tables. It knows lines, curves, lettering and sheets of paper, and
// nothing of what they stand for.
//
// # Sizes
//
// Lengths are millimetres. A page has its origin in its lower left corner, x to
// the right, y up. A drawing is laid on a page by a View, at any scale; pens and
// letters keep their size on the paper. A closed spline is drawn as the cubic
// pieces that it consists of, so a printed edge is the model's edge itself, not
// a polygon. Numbers are written to 0.0001 points for lines and curves and to
// 0.01 points, 0.004 mm, for where letters stand and for the sizes of sheets.
//
// # Paper
//
// A drawing larger than a sheet is spread over several by a Tiling, with an
// overlap and with register crosses that appear on every sheet they fall on.
//
// # Files
//
// The same calls give the same bytes: there are no identifiers drawn at random,
// and no date but the one that is handed over. The letters that are used are
// embedded in the file, so pages look alike everywhere; they reach over Latin,
// Greek and Cyrillic. Faults are kept until Write, which then writes nothing.
//
// Source: ISO 32000-1:2008, whose operators the drawing calls write; the file
// around them is made by go-pdf/fpdf. Letters: the Go fonts (Bigelow and Holmes).
package pdf
