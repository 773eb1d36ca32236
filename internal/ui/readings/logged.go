package readings

import (
	"fmt"
	"slices"
	"strings"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ui/draw"
)

// list returns the newest entries, the newest first, in so many lines.
func (m Model) list(width, lines int) []string {
	var out []string
	if lines > 1 {
		out = append(out, m.Pen.Dim.Render(m.Pen.Left("logged, newest first", width)))
	}
	for i := len(m.logged) - 1; i >= 0 && len(out) < lines; i-- {
		out = append(out, m.Pen.Dim.Render(m.Pen.Left(m.logged[i], width)))
	}
	return out
}

// describe returns an entry in a line.
func describe(p draw.Pen, e journal.Entry) string {
	return fmt.Sprintf("%s %4d  %s", p.Clock(e.At), e.Seq, what(e))
}

func what(e journal.Entry) string {
	body, err := e.Body()
	if err != nil {
		return string(e.Kind)
	}
	switch b := body.(type) {
	case journal.Reading:
		if b.Manifold != "" {
			return b.Manifold + "  " + read(b.Pressure, b.Unchanged, "pressure")
		}
		var figures []string
		for _, f := range []struct{ key, text string }{{"speed", b.Speed}, {"suction", b.Suction}, {"discharge", b.Discharge}} {
			figures = append(figures, read(f.text, b.Unchanged, f.key))
		}
		return b.Pump + "  " + strings.Join(figures, "  ")
	case journal.Ullage:
		return b.Tank + "  " + b.Ullage
	case journal.Note:
		return "note: " + b.Text
	case journal.Opened:
		return "log opened"
	case journal.Recovered:
		return fmt.Sprintf("torn end of %d bytes set aside", b.Bytes)
	case journal.Closed:
		return "discharge closed"
	}
	return string(e.Kind)
}

// read returns a figure as logged, with the sign of one that was unchanged.
func read(text string, unchanged []string, key string) string {
	switch {
	case text == "":
		return "–"
	case slices.Contains(unchanged, key):
		return "= " + text
	}
	return text
}
