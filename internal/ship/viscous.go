package ship

import (
	"errors"
	"fmt"
	"slices"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics/viscosity"
)

// ForCargo returns the pumps of a parcel, in the order of the ship, with their
// curves corrected for its viscosity where that asks for it (ISO/TR 17766,
// B > 1), and a sentence for each thing an officer should know about that.
// Pumps that share a set of curves go on sharing it. Without a viscosity, or
// where the correction is not valid, the curves are those of the maker.
func (s *Ship) ForCargo(p *Parcel) (pumps []*Pump, words []string) {
	corrected := map[*curves.Family]*curves.Family{}
	for i := range s.Pumps {
		pump := s.Pumps[i]
		if !slices.Contains(p.Pumps, pump.Name) {
			continue
		}
		f, done := corrected[pump.Curves]
		if !done {
			var word string
			if f, word = thickened(pump.Curves, p.Viscosity); word != "" {
				words = append(words, fmt.Sprintf("parcel %s, %s: %s", p.Name, pump.Name, word))
			}
			corrected[pump.Curves] = f
		}
		pump.Curves = f
		pumps = append(pumps, &pump)
	}
	return pumps, words
}

// thick is the viscosity in m²/s from which a cargo is worth a word where it
// can't be corrected for (common practice, no source: 50 cSt).
const thick = 50e-6

// thickened returns a family for a viscosity in m²/s, itself where there is
// nothing to correct, and what is to be said of it.
func thickened(f *curves.Family, nu float64) (*curves.Family, string) {
	if absent(nu) {
		return f, ""
	}
	if !f.HasEfficiency() {
		if nu > thick {
			return f, fmt.Sprintf("without efficiency the curves can't be corrected for %.0f cSt: heads and flows are those of water and too good", nu*1e6)
		}
		return f, ""
	}
	c, err := viscosity.Correct(f, nu)
	switch {
	case errors.Is(err, viscosity.ErrOutside):
		return f, fmt.Sprintf("%.0f cSt is beyond what ISO/TR 17766 corrects for: heads and flows are those of water and too good", nu*1e6)
	case err != nil || c.Curves == f:
		return f, ""
	}
	most := 0.0
	for _, factors := range c.Factors {
		most = max(most, 1-factors.Flow)
	}
	return c.Curves, fmt.Sprintf("curves corrected for %.0f cSt by ISO/TR 17766, up to %.1f %% less flow; larger pumps than it was tested on", nu*1e6, 100*most)
}
