package draw

import (
	"fmt"
	"time"

	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/watch"
)

// Pen is what every screen prints with: the palette, the ship's units and the
// time zone of the discharge.
type Pen struct {
	palette.Palette
	Units ship.Gauging
	Zone  *time.Location
}

// Clock returns the hour and minute of t in the zone of the discharge, "–" when
// there is no t.
func (p Pen) Clock(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.In(p.Location()).Format("15:04")
}

// Stamp is Clock with the offset.
func (p Pen) Stamp(t time.Time) string { return t.In(p.Location()).Format("15:04 -07:00") }

// Location returns the zone of the discharge, UTC when none is set.
func (p Pen) Location() *time.Location {
	if p.Zone == nil {
		return time.UTC
	}
	return p.Zone
}

// Span returns a time span in words: "3 min", "2 h 5 min"; a negative span is none.
func Span(d time.Duration) string {
	minutes := int(max(d, 0) / time.Minute)
	switch {
	case minutes < 1:
		return "under 1 min"
	case minutes < 60:
		return fmt.Sprintf("%d min", minutes)
	case minutes < 48*60:
		return fmt.Sprintf("%d h %d min", minutes/60, minutes%60)
	}
	return fmt.Sprintf("%d days", minutes/(24*60))
}

// Age says how old a reading is, "2h05 old", when it is older than the newest
// round; nothing when it is of that round or there is none.
func Age(pic *watch.Picture, at time.Time) string {
	if at.IsZero() || !at.Before(pic.FirstRead) {
		return ""
	}
	minutes := int(pic.At.Sub(at).Minutes())
	switch {
	case minutes < 60:
		return fmt.Sprintf("%dm old", minutes)
	case minutes < 600:
		return fmt.Sprintf("%dh%02d old", minutes/60, minutes%60)
	}
	return fmt.Sprintf("%dh old", minutes/60)
}

// Round returns the times between which the newest round was read, "14:20–14:23".
func (p Pen) Round(pic *watch.Picture) string {
	first, last := p.Clock(pic.FirstRead), p.Clock(pic.LastRead)
	if first == last {
		return last
	}
	return first + "–" + last
}

// Oldest names the oldest figure that counts, "; oldest 13:01", when it is not of
// the newest round.
func (p Pen) Oldest(pic *watch.Picture) string {
	if Age(pic, pic.Oldest) == "" {
		return ""
	}
	return "; oldest " + p.day(pic.Oldest, pic.At) + p.Clock(pic.Oldest)
}

// day returns the day of t with a blank, nothing when it is that of now.
func (p Pen) day(t, now time.Time) string {
	const layout = "2 Jan "
	if day := t.In(p.Location()).Format(layout); day != now.In(p.Location()).Format(layout) {
		return day
	}
	return ""
}
