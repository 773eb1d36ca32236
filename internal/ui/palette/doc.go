// Package palette holds the colours and the signs of the screens: one accent,
// red for alarms alone, yellow for warnings; and for terminals that lack them a
// plain letter for every sign. A colour never says anything alone.
//
// Its init answers for the terminal's background, before bubbletea's init asks
// the terminal for it: on one that never answers, that takes 5 s. So this
// package imports lipgloss only, and its import path sorts before
// github.com/charmbracelet/bubbletea.
//
// Lives here: styles, signs, what the terminal can show.
// Not here: anything that is drawn (package draw and the screens).
// May import: lipgloss, the standard library.
package palette
