package ship

import (
	"fmt"
	"strings"

	"example.org/headwatch/internal/ship/form"
)

// FindPump returns the pump that was keyed as text: "COP 2", "cop2", or "2"
// where that is the number of one pump only. It never guesses between two.
func (s *Ship) FindPump(text string) (*Pump, bool) {
	i, ok := find(text, s.pumpNames())
	if !ok {
		return nil, false
	}
	return &s.Pumps[i], true
}

// FindManifold returns the manifold that was keyed as text, as FindPump does.
func (s *Ship) FindManifold(text string) (*Manifold, bool) {
	i, ok := find(text, s.manifoldNames())
	if !ok {
		return nil, false
	}
	return &s.Manifolds[i], true
}

// FindTank returns the tank that was keyed as text, as FindPump does.
func (s *Ship) FindTank(text string) (*Tank, bool) {
	i, ok := find(text, s.tankNames())
	if !ok {
		return nil, false
	}
	return &s.Tanks[i], true
}

// find returns the index of the name that text means: the same but for case
// and spaces, or the only one with that number in it.
func find(text string, known []string) (int, bool) {
	text = form.Fold(text)
	found := -1
	for i, name := range known {
		if text != "" && form.Fold(name) == text {
			return i, true
		}
		if number, ok := onlyNumber(name); ok && number == text {
			if found >= 0 {
				found = len(known) // two have this number
				continue
			}
			found = i
		}
	}
	return found, 0 <= found && found < len(known)
}

// onlyNumber returns the digits of a name that has them in one place only.
func onlyNumber(name string) (digits string, ok bool) {
	runs := strings.FieldsFunc(name, func(r rune) bool { return r < '0' || r > '9' })
	if len(runs) != 1 {
		return "", false
	}
	return runs[0], true
}

func (s *Ship) pumpNames() []string {
	return namesOf(s.Pumps, all[Pump], func(p *Pump) string { return p.Name })
}

func (s *Ship) manifoldNames() []string {
	return namesOf(s.Manifolds, all[Manifold], func(m *Manifold) string { return m.Name })
}

func (s *Ship) tankNames() []string {
	return namesOf(s.Tanks, all[Tank], func(t *Tank) string { return t.Name })
}

func all[T any](*T) bool { return true }

// note makes a sentence about one thing.
func note(what, format string, args ...any) string {
	return what + ": " + fmt.Sprintf(format, args...)
}
