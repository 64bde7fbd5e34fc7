// Package step writes panes, faces, curves and points as STEP files: ISO
// 10303-21 clear text after the AP214 schema (AUTOMOTIVE_DESIGN), which every
// program for body and tool design reads.
//
//	Solid   a closed solid of a pane: MANIFOLD_SOLID_BREP
//	Sheet   a face, whole or trimmed by a closed curve, with or without a
//	        hole: an open shell
//	Curve   a cubic B-spline or straight pieces   } together a
//	Point   a place in space                      } geometric curve set
//
// # How a pane is built
//
// Each of its two faces is one bicubic B-spline surface: the face's own knots
// and coefficients, with the control points at the Greville abscissae, so that
// the file holds the very face, not a copy of it. The edge band is cut in four
// where the arrises are, and there are no curves in parameter planes: trials
// showed that readers make them as well themselves, and that a band in one
// piece is taken for periodic.
//
//	   upper face                        upper face
//	------------. upper arris         ----------. upper arris
//	            |                                \     half circle, a rational
//	            | ruled, straight                 )    cubic across
//	------------' lower arris         ----------'/ lower arris
//	   square edge                       round edge
//
// Upper and lower are as the pane lies; which of them is the car's outer face
// is the caller's to say, in Notes or a name.
//
// Lengths are millimetres; a file may state inches instead, and all lengths
// are converted then. A document may be moved into another frame and written to
// a scale: its control points are, which moves a B-spline exactly. The uncertainty that the file declares is 0.002 mm, and
// what bounds a face lies on it within half of that, or the document is
// refused. The same document gives the same bytes.
//
// Source: ISO 10303-21:2002 (clear text), ISO 10303-42 (geometry and
// topology), ISO 10303-214 (schema). Package lint beside this one reads such
// files strictly.
package step
