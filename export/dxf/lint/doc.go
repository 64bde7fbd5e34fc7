// Package lint reads DXF files of release 12 (AC1009) and 2000 (AC1015) the
// strict way: where programs that import drawings are lenient (they take
// numbers that are not finite, falling knots, wrong counts, missing handles),
// it reports a fault. It is the independent reader of this module's tests and
// shares no code with package dxf, which writes the files.
//
// It knows what this module writes and refuses everything else: the entities
// LINE, CIRCLE, POINT, TEXT, LWPOLYLINE, POLYLINE and SPLINE in model space.
//
// Source: Autodesk, "DXF Reference", the editions for release 12 and for
// AutoCAD 2000.
package lint
