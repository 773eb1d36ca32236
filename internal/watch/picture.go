package watch

import (
	"time"

	"example.org/headwatch/internal/hydraulics"
)

// Picture is all that is known at a moment, ready to be drawn. Figures are in
// SI (speed in rpm); a figure that is not known is NaN. It knows nothing of
// what happened between readings.
type Picture struct {
	At       time.Time // the moment it is true of
	Training bool      // a simulated ship: it must never be taken for a real one

	Ship, Voyage, Port, Berth string
	Fictional                 bool // an invented ship

	Parcels []Parcel

	FirstRead, LastRead time.Time // span of the newest round of readings; zero when there is none
	Oldest              time.Time // of the gauge figures the picture rests on: older than FirstRead when a round left some out
	NextRound           time.Time // when the oldest of them is due again; zero before the first round

	Notices []Notice // highest priority first
	Missing []string // what is switched off for want of a figure, a sentence each
	Seq     uint64   // last entry taken in
}

// Parcel is one grade of cargo on its own pumps, tanks and manifolds.
type Parcel struct {
	Name, Grade string
	Density     float64 // at tank temperature, kg/m³
	Observed    bool    // the density was observed, not planned
	Pumps       []Pump
	Manifolds   []Manifold
	Tanks       []Tank
	Rate        Rate
	ByUllage    ByUllage
	TanksRead   time.Time // of the oldest ullage behind Volume; zero while one is missing
	Volume      float64   // left in all its tanks, m³; NaN while one is not known
	Remaining   float64   // of that to pump: less what stripping takes, m³
}

// Figure is one figure as read: its value, its text with the unit as keyed,
// and its age.
type Figure struct {
	Value     float64 // SI; NaN when never read
	Half      float64 // half width of the reading, SI
	Text      string  // as keyed, with its unit; empty when never read
	At        time.Time
	Unchanged bool // confirmed as read and unchanged, not keyed anew
}

// Known reports whether the figure was ever read.
func (f Figure) Known() bool { return f.Text != "" }

// Pump is one pump as its last readings show it.
type Pump struct {
	Name                      string
	Speed, Suction, Discharge Figure
	Run                       Run
	Estimate                  hydraulics.Estimate // meaningful when Run is Running
	Oldest                    time.Time           // of the figures the estimate rests on

	ToNominal float64 // flow left to the nominal capacity, m³/s; NaN without a flow
	ToMinimum float64 // flow over the minimum at this speed, m³/s; NaN without a flow
	Nominal   float64 // nominal capacity, m³/s
	MaxSpeed  float64 // rpm

	// What the gauges read and keyed figures are in.
	SuctionUnit, DischargeUnit string
}

// Run says what is known of a pump's running.
type Run uint8

// The states of a pump's running.
const (
	Unknown Run = iota // a figure was never read
	Stopped            // read at no speed
	Running
)

// String returns the state in words.
func (r Run) String() string { return [...]string{"not read", "stopped", "running"}[r] }

// Manifold is one manifold gauge against the agreed limit.
type Manifold struct {
	Name     string
	Pressure Figure  // its Value is the gauge pressure that the reading means
	U95      float64 // of the reading: its gauge's class and how it was read, Pa
	Limit    float64 // agreed, Pa
	Margin   float64 // left, Pa
	Unit     string  // what the gauge reads
}

// Rate is a parcel's rate by its pumps' curves.
type Rate struct {
	Flow       float64   // m³/s; NaN when no pump of the parcel can be read
	U95        float64   // m³/s, common errors added first
	LowerBound bool      // a pump runs beyond its curve's end: at least this
	Oldest     time.Time // of the figures it rests on
	Limit      float64   // agreed, m³/s
	Unread     []string  // pumps whose flow is not in it
}

// ByUllage is a parcel's rate by what left its tanks between their last two
// ullages, in observed volume at an even keel; NaN without them.
type ByUllage struct {
	Flow, U95 float64 // m³/s
	From, To  time.Time
}

// Tank is one tank by its last two ullages.
type Tank struct {
	Name             string
	Ullage, Previous Figure
	Volume           float64 // m³; NaN without a table or an ullage
	Gone             float64 // since the previous ullage, m³; negative when it rose
	Rate             float64 // m³/s
}

// Priority is how soon a notice wants to be looked at.
type Priority uint8

// The priorities, as IMO MSC.302(87) names them, without its emergency alarm:
// that is the ship's own.
const (
	Caution Priority = iota + 1 // out of the ordinary, needs thought
	Warning                     // look now
	Alarm                       // act now
)

// String returns the priority in words.
func (p Priority) String() string { return [...]string{"", "CAUTION", "WARNING", "ALARM"}[p] }

// Notice is a condition seen at the last readings.
type Notice struct {
	Priority Priority
	Name     string    // of the condition
	Text     string    // the figures, with their units
	Action   string    // what to do
	At       time.Time // of the reading it rests on
}
