// Package readings is the screen on which a round of gauge readings is keyed:
// a grid of fields with the figures of before in them, head and flow as they
// come out of what is typed, and a sign on what should be read again.
//
// A figure that was typed is never lost: it stays until it is logged or undone,
// and the frame keeps it over a restart.
//
// Lives here: the grid, its keys, the line in any order, the drafts for the log.
// Not here: what a figure means (packages units and watch), writing (package
// journal), the frame around the screen (package ui).
// May import: draw, palette, watch and the rooms below it, bubbletea, bubbles.
package readings
