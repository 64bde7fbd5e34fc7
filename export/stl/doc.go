// Package stl writes closed meshes as binary STL, the form that every shop
// reads: 80 bytes of header, the number of facets, then for each facet its
// normal and three corners as 32-bit floats, and two unused bytes; all
// little-endian.
//
// The format knows neither units nor names: lengths are millimetres, which the
// header and the file's name should say. 32 bits leave 0.06 µm at 1 m and keep
// points 1 µm apart distinct out to 8 m. Coordinates may be negative; the first
// description of the format forbade it, and readers never minded.
//
// Source: 3D Systems, "StereoLithography Interface Specification", 1989 (from
// memory). Package lint beside this one reads such files strictly.
package stl
