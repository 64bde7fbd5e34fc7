// Package dxf writes drawings as DXF text, in two versions of the format:
//
//   - R12 (AC1009), which the oldest and smallest shop software still reads:
//     no splines, so curves become polylines within a stated chord tolerance;
//   - R2000 (AC1015), in full form (all tables, blocks, handles, owners,
//     subclass markers), with true splines.
//
// Lengths are millimetres, or inches where the drawing wants them. R2000 says
// which twice, in $INSUNITS and in $MEASUREMENT, because readers honour one or
// the other; R12 has no place for it, so the caller should state the unit in a
// Text.
//
// A Drawing is filled without looking at errors: the first fault is kept and
// returned by the Write functions, which then write nothing. The same drawing
// gives the same bytes. Files hold 7-bit text alone, with lines ended by CR LF
// and numbers in fixed decimals.
//
// Source: Autodesk, "DXF Reference", the editions for release 12 and for
// AutoCAD 2000. Package lint beside this one reads such files strictly.
package dxf
