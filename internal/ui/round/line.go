package round

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
)

// Longest is how many characters a field holds: what is more is no figure.
const Longest = 24

// Clean returns text as a field holds it: one line, not too long.
func Clean(text string) string {
	out := []rune(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || r == '=' {
			return -1
		}
		return r
	}, text))
	return string(out[:min(len(out), Longest)])
}

// BeginsFigure reports whether what was typed or pasted can begin a figure.
func BeginsFigure(typed string) bool {
	return typed != "" && strings.IndexByte("0123456789.,-+", typed[0]) >= 0
}

// Line returns the round with a line in it: a place by its name, a pump by its
// number too, the only manifold as "m"; then its figures in their order, "=" for
// read and unchanged, "-" for not read; after "@" the time of today they were read,
// if it is not now. row is where it went.
func (r Round) Line(line string, now time.Time) (filled Round, row int, err error) {
	at := now
	if cut := strings.LastIndex(line, "@"); cut >= 0 {
		if at, err = r.today(line[cut+1:], now); err != nil {
			return r, 0, err
		}
		line = line[:cut]
	}
	row, figures, err := r.find(strings.Fields(line))
	if err == nil {
		filled, err = r.fill(row, figures, at, now)
	}
	return filled, row, err
}

// today returns a time of today in the zone of the discharge, such as "16:14".
func (r Round) today(text string, now time.Time) (time.Time, error) {
	clock, err := time.Parse("15:04", strings.TrimSpace(text))
	now = now.In(r.zone)
	at := time.Date(now.Year(), now.Month(), now.Day(), clock.Hour(), clock.Minute(), 0, 0, r.zone)
	switch {
	case err != nil:
		return at, fmt.Errorf("time %.20q: want hour and minute of today, such as %s", text, now.Format("15:04"))
	case at.After(now):
		return at, fmt.Errorf("time %.20q is after now, %s: want one of today that has been", text, now.Format("15:04"))
	}
	return at, nil
}

// find returns the row that a line begins with and the figures that follow. The
// name of a place may have spaces, so that the longest name counts.
func (r Round) find(words []string) (row int, figures []string, err error) {
	const most = 4 // words of a name
	for n := min(len(words), most); n > 0; n-- {
		if row, found := r.named(strings.Join(words[:n], " ")); found {
			return row, joined(words[n:]), nil
		}
	}
	return 0, nil, fmt.Errorf("%.40q is no pump by number or name, no m for the manifold, no tank by name", strings.Join(words[:min(len(words), 1)], ""))
}

// named returns the row of a place as keyed. A number alone is a pump's.
func (r Round) named(text string) (int, bool) {
	s := r.state.Ship()
	if p, ok := s.FindPump(text); ok {
		return r.row(Pump, p.Name)
	}
	if strings.Trim(text, "0123456789") == "" {
		return 0, false
	}
	if strings.EqualFold(text, "m") {
		return r.onlyManifold()
	}
	if t, ok := s.FindTank(text); ok {
		return r.row(Tank, t.Name)
	}
	if f, ok := s.FindManifold(text); ok {
		return r.row(Manifold, f.Name)
	}
	return 0, false
}

func (r Round) row(k Kind, name string) (int, bool) {
	i := slices.IndexFunc(r.Places, func(pl Place) bool { return pl.Kind == k && pl.Name == name })
	return i, i >= 0
}

// onlyManifold returns the row of the manifold where there is one only.
func (r Round) onlyManifold() (row int, found bool) {
	for i, pl := range r.Places {
		if pl.Kind == Manifold {
			if found {
				return 0, false
			}
			row, found = i, true
		}
	}
	return row, found
}

// joined puts a unit that stands apart back to its figure.
func joined(words []string) []string {
	var out []string
	for _, w := range words {
		if len(out) > 0 && w != "=" && !BeginsFigure(w) {
			out[len(out)-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func (r Round) fill(i int, figures []string, at, now time.Time) (Round, error) {
	pl := r.Places[i]
	switch {
	case len(figures) == 0:
		return r, fmt.Errorf("%s: want %s", pl.Name, pl.names())
	case len(figures) > len(pl.Fields):
		return r, fmt.Errorf("%s: %d figures, want %s", pl.Name, len(figures), pl.names())
	}
	cells := r.rows[i].cells
	for k, text := range figures {
		same, known := r.Same(Position{i, k})
		switch {
		case text == "-":
			cells[k] = Cell{Skipped: true}
		case text == "=" && !known:
			return r, fmt.Errorf("%s: = repeats a figure, but %s was never read", pl.Name, pl.Fields[k].Key)
		case text == "=":
			cells[k] = same
		default:
			cells[k] = Cell{Text: Clean(text)}
		}
	}
	r.rows = slices.Clone(r.rows)
	r.rows[i].cells = cells
	return r.Timed(i, at).checked(now), nil
}
