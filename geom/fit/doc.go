// Package fit finds shapes in noisy readings by least squares: the closed
// outline of a pane, its curved face, and the plane about which a pane
// mirrors.
//
// Lengths are millimetres, angles radians, closed curves run counter-clockwise
// seen from +z, as in package geom. A standard deviation (sd) is one sigma.
//
// All fits are the same kind of thing. A shape is a spline with more knots
// than the readings could fix; a penalty on bending carries it where readings
// are thin; how strongly it acts is chosen by restricted maximum likelihood
// (REML), that is by how well the readings predict one another, never by
// hand. Each fit therefore knows how unsure it is, point by point, and what it
// would have said about a reading without that reading, which is how slips of
// the pen are found. The normal equations are banded (type arrow), so time
// grows with the number of readings.
//
// A reading that is set aside is only flagged. It keeps its place in every
// slice and its distance to the fitted shape.
package fit
