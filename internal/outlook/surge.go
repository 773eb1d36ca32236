package outlook

import (
	"math"

	"example.org/headwatch/internal/hydraulics/surge"
)

// Surge returns what the manifold would feel if the shore shut its valve at
// the rate of a forecast, and whether the plan tells enough of the line: its
// length and bore. Without a closing time the agreed time to stop is taken, the
// best that can be hoped for, since most of it is talk.
func (p *Plant) Surge(f *Forecast) (surge.Stop, bool) {
	closing := p.Shore.Closing
	if math.IsNaN(closing) {
		closing = p.Shore.TimeToStop
	}
	line := surge.Line{Length: p.Shore.LineLength, Bore: p.Shore.LineBore, Density: p.Liquid.Density}
	s, err := line.Stop(f.Rate, closing)
	return s, err == nil
}
