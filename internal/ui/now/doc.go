// Package now is the screen that answers one question in one look: is all well.
// A pump is a column; above them manifold and rate against what was agreed.
//
// Lives here: the layout of that screen.
// Not here: what the figures are (package watch), how they are printed (package
// draw), the frame around the screen (package ui).
// May import: draw, palette, watch and the rooms below it, bubbletea, bubbles.
package now
