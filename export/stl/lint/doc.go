// Package lint reads binary STL files the strict way and checks that they hold
// closed solids. It is the independent reader of this module's tests and shares
// no code with package stl, which writes the files. Two more checks use tools
// that are not ours: Exact and Examine.
package lint
