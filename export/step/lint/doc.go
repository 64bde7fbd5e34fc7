// Package lint reads STEP files the strict way. Programs that import them mend
// what they can and say little: of files damaged on purpose most come in as
// "valid", some without a word. Here the first look is at the text (ISO
// 10303-21), the second at every entity's parameters, the third at what they
// stand for: knots, loops, shells, edges on their faces, which way faces are
// turned; all reckoned anew with splines of its own.
//
// It is the independent reader of this module's tests and shares no code with
// package step, which writes the files. It knows what that package writes and
// refuses everything else. Examine has a file read by a program that is not
// ours.
package lint
