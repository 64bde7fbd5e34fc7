// Package geom holds the nouns of the work and their exact maths: closed
// curves in plan and in space, faces, frames, the centre plane, the finished
// pane, polygons and meshes. It knows nothing of jobs, readings, files or
// windows, and imports nothing of this module.
//
// # Units
//
// Lengths are millimetres and angles radians, everywhere and without
// exception. Curvature is 1/mm, areas mm², volumes mm³. Inches, fractions and
// degrees are read and written elsewhere.
//
// # Handedness and order
//
// Every frame is right-handed with z up. In plan (seen from +z) a closed curve
// or polygon runs counter-clockwise, so its area is positive, the inside lies
// to the left of its tangent and the outward normal to the right:
//
//	   <-----------
//	 /              \        t  tangent, the way u rises
//	|     inside     ^ t     n  outward normal = t turned by -90°
//	|                |---> n
//	 \              /
//	   ----------->
//
// The first point of a closed list is not repeated at its end. A signed
// distance from a closed curve is positive outside; curvature is positive
// where the outline is convex.
//
// # Frames
//
// Three frames carry the same piece of glass; geom needs only the last two and
// treats them alike.
//
//	grid    what was read: grid line plus offset, in the job's unit
//	board   mm; x across the board, y up the board, z off it
//	glass   mm; the pane's own frame, used by every file that leaves the program
//
// Glass frame of a mirrored pane: X is the unit normal of the centre plane, to
// the board's +x side; Z points off the board, is square to X, and is levelled
// so that the least-squares plane through the edge has no fore-and-aft lean;
// Y = Z × X. The origin lies on the upper face, in the centre plane, half-way
// along the outline's extent in Y. A pane without a mirror takes Z from the
// normal of the least-squares plane of its edge and Y from the board's +y,
// made square to Z; its origin lies on the upper face at the plan centroid of
// its outline.
//
//	       Y                            Z
//	       ^                            ^       upper arris
//	  _____|_____                       |      /
//	 /     |     \                 ___--+--___
//	|      +------|--> X        _--     +     --_ ---> X
//	 \___________/             -                 -
//	  seen from +Z               seen from -Y, dome up
//
// A point moves between frames by p' = R·p + T: column vectors, R a rotation.
// Because the glass frame is levelled, the outline in plan is made anew there,
// as the shadow of the solid along Z; it is never carried over from the board.
//
// # Faces, arrises, edge
//
// The pane lies dome up (its upper face is the outer one) or bowl up. The
// lower face is the upper one moved by the thickness, square to the face. The
// edge band stands square to the upper face and ends in two arrises, upper and
// lower. The outline is the silhouette, which is what a square or a plumb line
// touches: the upper arris where the face falls outward, the lower arris where
// it rises, the middle of a round edge or near it. The arrises, not the
// silhouette, are mirrored, because the silhouette depends on the frame.
//
//	face falls outward              face rises outward
//
//	upper face                                /\  upper arris
//	----___                                __/  \
//	       ---_ upper arris     upper face     __\ lower arris
//	----__     /\  = silhouette        ___----  |  = silhouette
//	      --__/  lower arris       lower face   |
//
// # The centre plane
//
// The centre line of a pane is a plane. Its offset is positive to the right
// (+x); its skew is positive where it is turned counter-clockwise seen from
// +z; its roll is positive where its normal, which points to +x, leans up:
//
//	n = (cos skew · cos roll, sin skew · cos roll, sin roll)
//
// # Errors and accuracy
//
// Constructors refuse data that is not finite, too short or out of order, and
// say which; nothing here panics on data or returns NaN for finite input that
// was accepted. Curves are immutable once made, and safe for use by several
// goroutines at once. Every result is deterministic.
package geom
