package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"time"
)

// Sum is a SHA-256 sum; as text it is lower-case hexadecimal.
type Sum [sha256.Size]byte

// sumText is the length of a Sum as text.
const sumText = 2 * sha256.Size

func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// MarshalText returns the sum as 64 lower-case hexadecimal digits.
func (s Sum) MarshalText() ([]byte, error) { return hex.AppendEncode(nil, s[:]), nil }

// UnmarshalText reads what MarshalText writes and nothing else: a capital digit
// would be a changed byte.
func (s *Sum) UnmarshalText(text []byte) error {
	if len(text) != sumText {
		return fmt.Errorf("sum %.70q: want %d hexadecimal digits", text, sumText)
	}
	if _, err := hex.Decode(s[:], text); err != nil || !bytes.Equal(hex.AppendEncode(make([]byte, 0, sumText), s[:]), text) {
		return fmt.Errorf("sum %q: want lower-case hexadecimal digits", text)
	}
	return nil
}

// Entry is one line of the log. It is never changed, so that copies may share
// its Data.
type Entry struct {
	Seq     uint64    // 1, 2, 3 and so on: the order of logging, without a gap
	At      time.Time // the time it speaks of, with the offset in use then
	Entered time.Time // when it was keyed
	Kind    Kind
	By      string // who keyed it
	Data    []byte // one JSON object as it stands in the file; Body decodes it
	Prev    Sum    // the Sum of the entry before; zero for the first
	Sum     Sum    // over the bytes of the line up to it
}

// Draft is an entry to be: Append adds the rest.
type Draft struct {
	At   time.Time
	By   string
	Body Body
}

// entry returns the draft as the entry that follows c. It does not set Sum.
func (d Draft) entry(c chain, entered time.Time) (Entry, error) {
	for _, t := range []struct {
		key string
		at  time.Time
	}{{"at", d.At}, {"entered", entered}} {
		if _, offset := t.at.Zone(); offset%60 != 0 {
			return Entry{}, fmt.Errorf("%s %v: want an offset of whole minutes", t.key, t.at)
		}
	}
	if d.At.IsZero() {
		return Entry{}, errors.New("at: no time given")
	}
	if err := text("by", d.By); err != nil {
		return Entry{}, err
	}
	if d.Body == nil {
		return Entry{}, errors.New("entry without data")
	}
	kind := d.Body.Kind()
	if err := d.Body.check(); err != nil {
		return Entry{}, fmt.Errorf("%s: %w", kind, err)
	}
	data, err := encode(d.Body)
	if err != nil {
		return Entry{}, fmt.Errorf("%s: %w", kind, err)
	}
	return Entry{Seq: c.seq + 1, At: d.At, Entered: entered, Kind: kind, By: d.By, Data: data, Prev: c.sum}, nil
}
