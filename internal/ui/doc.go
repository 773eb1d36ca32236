// Package ui is the console: a frame around one screen at a time, in a terminal.
// It draws the watch.Picture and turns keys into drafts for the log; it knows
// no physics.
//
// The root owns size, screen, clock and log, in this order of its Update: size,
// what is in front (help), the keys that work everywhere, then the screen.
// Nothing is written but through the log and the file of the unlogged round.
//
// Lives here: the frame, its clock and keys, help, the wiring of the screens.
// Not here: the screens (packages now and readings), what they draw with
// (packages draw and palette), what the figures mean (package watch).
// May import: the rooms below it, bubbletea, bubbles, lipgloss.
package ui
