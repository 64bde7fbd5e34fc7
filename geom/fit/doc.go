// Package fit finds shapes in noisy readings by least squares: the closed
// outline of a pane, its curved face, and the plane about which a pane
// mirrors.
//
// Lengths are millimetres, angles radians, closed curves run counter-clockwise
// seen from +z, as in package geom. A standard deviation (sd) is one sigma.
//
// One linear Gaussian model serves everything. The edge is a chain of bowed
// sides and round corners (type chain) from which the true edge strays, square
// to it, by a Gaussian process and a bump in each corner (arcFit); the face is a
// spline drawn to quadratics by a penalty on third derivatives (sheetFit). In a
// pane that mirrors, chain and stray are even, and the plane's three unknowns
// are found with them and the face (mirrorFit). How far the edge may stray, how
// stiff the face is and how much the readings scatter is chosen by the evidence
// (restricted maximum likelihood). Two factors on stated uncertainties were
// measured instead: reweighted and together.
//
// From the one covariance follows all the rest: how unsure any place and any
// figure is (SD, Spread), panes as likely as the one found (Draws), where one
// more reading would tell the most (Next), and what the others would have
// foretold of a reading, in closed form, which is how slips of the pen are
// found.
//
// A chain needs a rough curve to start from and corners to find. That curve is
// a spline whose penalty, on changes of curvature, likes arcs (loopFit). It also
// stands where no chain foretells the marks better: ovals without corners,
// odd cut-outs, a half read with a few lone stations on the other.
//
// Normal matrices are banded with a border (type arrow), marks by the thousand
// are gathered in heaps, so time grows with the number of readings.
//
// A reading that is set aside is only flagged. It keeps its place in every
// slice and its distance to the fitted shape.
package fit
