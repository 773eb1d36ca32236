package hydraulics

import "strings"

// Flags are remarks that travel with an estimate.
type Flags uint16

// The flags of an estimate.
const (
	SpeedOutside          Flags = 1 << iota // outside the printed speeds: the nearest curve was scaled
	OneCurve                                // only the longer of the two neighbouring curves reaches this flow
	PoorlyReadable                          // the interval of the flow is wider than ±50 %
	BelowMinimumFlow                        // under the minimum flow at this speed
	AboveNominal                            // over the nominal capacity
	NearCurveEnd                            // at 98 % of the curve's end or more
	LowMargin                               // NPSH margin under 1 m or under its own uncertainty
	SuctionAboveDischarge                   // the discharge gauge shows less than the suction gauge
	OutOfSpan                               // a reading lies off its gauge's scale
	flagEnd
)

var flagNames = [...]string{"speed-outside", "one-curve", "poorly-readable", "below-minimum-flow",
	"above-nominal", "near-curve-end", "low-margin", "suction-above-discharge", "out-of-span"}

// Has reports whether all of want are set.
func (f Flags) Has(want Flags) bool { return f&want == want }

// Append appends the names of the flags set to dst, in the order above.
func (f Flags) Append(dst []string) []string {
	for i, name := range flagNames {
		if f.Has(1 << i) {
			dst = append(dst, name)
		}
	}
	return dst
}

// String returns the names of the flags set, with commas between.
func (f Flags) String() string { return strings.Join(f.Append(nil), ",") }
