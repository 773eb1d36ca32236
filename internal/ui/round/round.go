package round

import (
	"slices"
	"strings"
	"time"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/watch"
)

// Round is a round as far as it is keyed.
type Round struct {
	Places []Place
	Before watch.Picture // as logged
	After  watch.Picture // with what is keyed

	state    watch.State // of Before
	zone     *time.Location
	rows     []row     // one for each place
	verdicts []verdict // likewise
}

// row is what was keyed for a place.
type row struct {
	cells [MostFields]Cell
	at    time.Time // when its last figure was keyed
}

// Cell is what was keyed into a field.
type Cell struct {
	Text      string // as typed, or what it repeats
	Unchanged bool   // keyed as "="
	Skipped   bool   // passed over: not read
}

// Position is where a field is.
type Position struct{ Row, Col int }

// verdict is what is to be said about a row as keyed.
type verdict struct {
	faults [MostFields]string // why a figure is none
	doubts []watch.Doubt
}

// New returns an empty round after the state of a log; times are of a zone.
func New(s watch.State, zone *time.Location, now time.Time) Round {
	pic := watch.Assess(s, now)
	r := Round{Places: places(&pic, s.Ship().Units), zone: zone}
	r.rows = make([]row, len(r.Places))
	return r.WithState(s, now)
}

// WithState returns the round after a newer state of the log.
func (r Round) WithState(s watch.State, now time.Time) Round {
	r.state, r.Before = s, watch.Assess(s, now)
	return r.checked(now)
}

// Cleared returns the round with nothing keyed.
func (r Round) Cleared(now time.Time) Round {
	r.rows = make([]row, len(r.Places))
	return r.checked(now)
}

// Cell returns what is keyed at a position.
func (r Round) Cell(p Position) Cell { return r.rows[p.Row].cells[p.Col] }

// Was returns the figure of before at a position.
func (r Round) Was(p Position) watch.Figure {
	return r.Places[p.Row].figures(&r.Before)[p.Col]
}

// Same returns the figure of before as a cell that says read and unchanged,
// and whether there is one.
func (r Round) Same(p Position) (Cell, bool) {
	was := r.Was(p)
	return Cell{Text: r.Places[p.Row].Fields[p.Col].bare(was.Text), Unchanged: true}, was.Known()
}

// With returns the round with a cell in a position, as it is being typed.
func (r Round) With(p Position, c Cell, now time.Time) Round {
	r.rows = slices.Clone(r.rows)
	r.rows[p.Row].cells[p.Col] = c
	return r.checked(now)
}

// Timed returns the round with a row as of now, or of no time when it has no
// figure.
func (r Round) Timed(i int, now time.Time) Round {
	r.rows = slices.Clone(r.rows)
	r.rows[i].at = r.stamp(now)
	if r.Places[i].body(r.rows[i].cells) == nil {
		r.rows[i].at = time.Time{}
	}
	return r.checked(now)
}

// At returns the time a row is of.
func (r Round) At(i int, now time.Time) time.Time {
	if r.rows[i].at.IsZero() {
		return r.stamp(now)
	}
	return r.rows[i].at
}

// stamp returns a time as it is logged.
func (r Round) stamp(now time.Time) time.Time { return now.In(r.zone).Truncate(time.Second) }

// checked returns the round with everything that follows from what is keyed.
func (r Round) checked(now time.Time) Round {
	state := r.state
	r.verdicts = make([]verdict, len(r.Places))
	for i, pl := range r.Places {
		v := &r.verdicts[i]
		at, good := r.At(i, now), r.rows[i].cells
		for k := range pl.Fields {
			var single [MostFields]Cell
			if single[k] = good[k]; single[k].Text == "" {
				continue
			}
			if _, err := watch.Try(r.state, pl.body(single), at); err != nil {
				v.faults[k], good[k] = err.Error(), Cell{}
			}
		}
		body := pl.body(good)
		if body == nil {
			continue
		}
		v.doubts = watch.Doubts(r.state, body, at)
		if after, err := watch.Try(state, body, at); err == nil {
			state = after
		}
	}
	r.After = watch.Assess(state, now)
	return r
}

// Fault returns why what is keyed at a position is no figure, empty when it is.
func (r Round) Fault(p Position) string { return r.verdicts[p.Row].faults[p.Col] }

// Faulty reports whether a figure keyed in row i is none: what After shows of it
// then rests on the one before.
func (r Round) Faulty(i int) bool { return r.verdicts[i].faults != [MostFields]string{} }

// Doubts returns the doubts about a position.
func (r Round) Doubts(p Position) []watch.Doubt {
	var out []watch.Doubt
	for _, d := range r.verdicts[p.Row].doubts {
		if d.Field == r.Places[p.Row].Fields[p.Col].Key {
			out = append(out, d)
		}
	}
	return out
}

// Begun returns when the first row was keyed and how many figures there are.
func (r Round) Begun() (first time.Time, figures int) {
	for _, row := range r.rows {
		for _, c := range row.cells {
			if c.Text != "" {
				figures++
			}
		}
		if !row.at.IsZero() && (first.IsZero() || row.at.Before(first)) {
			first = row.at
		}
	}
	return first, figures
}

// Drafts returns what is keyed, figure or not, oldest first.
func (r Round) Drafts(by string, now time.Time) []journal.Draft {
	var out []journal.Draft
	for i, pl := range r.Places {
		if body := pl.body(r.rows[i].cells); body != nil {
			out = append(out, journal.Draft{At: r.At(i, now), By: by, Body: body})
		}
	}
	slices.SortStableFunc(out, func(a, b journal.Draft) int { return a.At.Compare(b.At) })
	return out
}

// Restore returns the round with drafts of an earlier one in it, and what has no
// place here.
func (r Round) Restore(drafts []journal.Draft, now time.Time) (restored Round, lost []string) {
	r.rows = slices.Clone(r.rows)
	for _, d := range drafts {
		kind, name, texts, unchanged := figuresOf(d.Body)
		i := slices.IndexFunc(r.Places, func(pl Place) bool { return pl.Kind == kind && strings.EqualFold(pl.Name, name) })
		if i < 0 {
			lost = append(lost, name+" "+strings.Join(texts[:], " "))
			continue
		}
		r.rows[i].at = d.At.In(r.zone)
		for c, f := range r.Places[i].Fields {
			if texts[c] != "" {
				r.rows[i].cells[c] = Cell{Text: f.bare(texts[c]), Unchanged: slices.Contains(unchanged, f.Key)}
			}
		}
	}
	return r.checked(now), lost
}
