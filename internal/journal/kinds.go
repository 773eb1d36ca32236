package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Kind names what an entry is about.
type Kind string

// The kinds of entry.
const (
	KindOpened      Kind = "opened"       // the log begins: real or training, and the files it rests on
	KindBasis       Kind = "basis"        // one of those files was changed
	KindReading     Kind = "reading"      // gauges and tachometer of a pump, gauge of a manifold
	KindUllage      Kind = "ullage"       // of one tank
	KindGas         Kind = "gas"          // inert gas pressure, oxygen
	KindPump        Kind = "pump"         // start, cracked, opening, open, stop
	KindSpeed       Kind = "speed"        // ordered
	KindValve       Kind = "valve"        // moved
	KindLimit       Kind = "limit"        // agreed anew
	KindRequest     Kind = "request"      // of the shore: requested, acknowledged, complied
	KindTank        Kind = "tank"         // which pump draws from it
	KindEvent       Kind = "event"        // arm, booster, tank washing, stripping, stop, gas in the casing
	KindNote        Kind = "note"         // free words
	KindTicked      Kind = "ticked"       // a point of a list done
	KindAlert       Kind = "alert"        // raised, acknowledged, silenced, transferred, cleared
	KindShoreFigure Kind = "shore-figure" // received
	KindHandover    Kind = "handover"     // of the watch
	KindCorrection  Kind = "correction"   // supersedes an entry
	KindRecovered   Kind = "recovered"    // a torn tail was set aside
	KindClosed      Kind = "closed"       // the discharge is over
)

// kinds is the table of the known kinds and what decodes their data; nil: the
// data stays raw.
var kinds = map[Kind]func(data []byte) (Body, error){
	KindOpened:      decode[Opened],
	KindBasis:       nil,
	KindReading:     decodeReading,
	KindUllage:      decodeUllage,
	KindGas:         nil,
	KindPump:        nil,
	KindSpeed:       nil,
	KindValve:       nil,
	KindLimit:       nil,
	KindRequest:     nil,
	KindTank:        nil,
	KindEvent:       nil,
	KindNote:        decode[Note],
	KindTicked:      nil,
	KindAlert:       nil,
	KindShoreFigure: nil,
	KindHandover:    nil,
	KindCorrection:  nil,
	KindRecovered:   decode[Recovered],
	KindClosed:      decode[Closed],
}

// Known reports whether this version knows the name.
func (k Kind) Known() bool {
	_, known := kinds[k]
	return known
}

// wellFormed reports whether k can name a kind, known or of a later version.
func wellFormed(k Kind) bool {
	for i := range len(k) {
		if c := k[i]; c != '-' && (c < 'a' || c > 'z') {
			return false
		}
	}
	return k != "" && len(k) <= 32
}

// Body is the data of one kind of entry. The types of this package are all
// there are.
type Body interface {
	// Kind returns the kind of entry that carries this data.
	Kind() Kind
	// check returns what is wrong with the data.
	check() error
}

// ErrRaw is the error of Body for a kind whose data this version keeps, but
// cannot decode.
var ErrRaw = errors.New("data not understood by this version")

// Body decodes and checks the data of e.
func (e Entry) Body() (Body, error) {
	decode := kinds[e.Kind]
	if decode == nil {
		return nil, fmt.Errorf("%s: %w", e.Kind, ErrRaw)
	}
	body, err := decode(e.Data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", e.Kind, err)
	}
	return body, nil
}

// decode reads data as a T. A key that T lacks is an error: what an entry says
// must not be understood in part.
func decode[T Body](data []byte) (Body, error) {
	var body T
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&body); err != nil {
		return nil, err
	}
	if err := body.check(); err != nil {
		return nil, err
	}
	return body, nil
}

// text refuses a value of key that is blank or would not show as one line of
// text on a terminal.
func text(key, s string) error {
	switch {
	case strings.TrimSpace(s) == "":
		return fmt.Errorf("%s: empty", key)
	case !utf8.ValidString(s):
		return fmt.Errorf("%s %.40q: not UTF-8", key, s)
	case strings.ContainsFunc(s, unicode.IsControl):
		return fmt.Errorf("%s %.40q: control character", key, s)
	}
	return nil
}
