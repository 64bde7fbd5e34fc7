// Package firstcut asks what the whole program is for: does the real pane drop
// into the first cut, snug, and does it sit?
//
// It invents panes whose truth is known exactly, reads them on the board as a
// careful person does, has panewright-batch export the pocket from these
// readings alone, and measures what came out: the wall in pocket.dxf and the
// facets in pocket.stl, never the model behind them. The true pane is laid into
// that pocket, at rest on its ledge, and the gaps decide:
//
//	drops in  the least wall gap is not below nought at the best placement
//	snug      and no wall gap is above twice the clearance
//	sits      and no gap over the ledge is above 1.0 mm
//
// Everything is seeded: the same pane gives the same readings and the same
// verdict. Lengths are mm, angles radians unless a name says otherwise.
package firstcut
