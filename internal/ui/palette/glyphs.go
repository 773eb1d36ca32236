package palette

import "strings"

// The signs that the screens draw with.
const (
	Rule      = "─"
	Cursor    = "▏" // where the next digit goes
	Focus     = "▸"
	GhostOpen = "‹"
	GhostEnd  = "›"
	BarEnd    = "│"
	BarFull   = "█"
	Hatch     = "▒" // down the side of a training ship
	Cut       = "…"
	More      = "↓"
	Less      = "↑"
)

// BarParts are the eighths of a cell, from none to seven.
var BarParts = [8]string{" ", "▎", "▎", "▍", "▌", "▋", "▊", "▉"}

// plain is the table of what stands for a sign where there is only ASCII. What
// is not in it becomes a question mark.
var plain = map[rune]string{
	'─': "-", '▒': ":", '▏': "_", '▸': ">", '‹': "<", '›': ">", '│': "|", '█': "#", '…': "~", '↓': "v", '↑': "^", '←': "<", '→': ">",
	'▎': " ", '▍': " ", '▌': "#", '▋': "#", '▊': "#", '▉': "#",
	'±': "+-", '≥': ">=", '≤': "<=", '–': "-", '·': "-", '²': "2", '³': "3", '°': "deg", '“': `"`, '”': `"`, '’': "'", '×': "x",
}

// Text returns s as the terminal can show it. Text that was through it comes
// back as it is.
func (p Palette) Text(s string) string {
	if !p.ascii || isASCII(s) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch to, known := plain[r]; {
		case r < 0x80:
			b.WriteRune(r)
		case known:
			b.WriteString(to)
		default:
			b.WriteByte('?')
		}
	}
	return b.String()
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}
