package fit

import "panewright/geom"

// Fold is the upright plane about which a closed outline, seen from above, comes
// nearest to its own mirror image: the least sum of squared distances between
// the two, from a guess that may be some tens of mm and a few degrees off. It
// says where to hold the halves of a pane against each other that has no centre
// plane of its own. Cost: some 2 ms.
func Fold(c *geom.Curve, guess geom.Plane) geom.Plane {
	return foldOnto(c, motion{guess.XAt(0, 0), guess.Skew(), 0}).plane()
}
