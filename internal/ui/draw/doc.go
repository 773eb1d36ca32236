// Package draw holds the small parts that the screens share: figures with no
// more digits than their uncertainty allows, bars, columns, and the cut that
// makes a frame fit.
//
// Lives here: what more than one screen draws with. Every function is total:
// any figure, any size.
// Not here: what is on a screen (packages now and readings), colours and signs
// (package palette).
// May import: palette, watch and the rooms below it, lipgloss.
package draw
