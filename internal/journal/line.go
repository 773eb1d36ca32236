package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"
	"unicode/utf8"
)

// maxLine is the longest line [bytes]: the first entry carries the ship, the
// plan and the tank tables, some hundred kilobytes. It bounds what reading
// garbage can cost.
const maxLine = 8 << 20

// timeLayout is RFC 3339 with milliseconds where there are any.
const timeLayout = "2006-01-02T15:04:05.999Z07:00"

// A line is, without spaces,
//
//	{"seq":N,"at":"T","entered":"T","kind":"K","by":"B","data":{...},"prev":"S","sum":"S"}
//
// Its head ends with data; its tail has a fixed length, so that it is found
// from the end whatever data holds.
var (
	firstMark = []byte(`{"seq":`)
	headMarks = [...][]byte{[]byte(`,"at":"`), []byte(`","entered":"`), []byte(`","kind":"`), []byte(`","by":"`), []byte(`","data":`)}
	prevMark  = []byte(`,"prev":"`)
	sumMark   = []byte(`","sum":"`)
	lastMark  = []byte(`"}`)
)

var (
	sealLen = len(sumMark) - 1 + sumText + len(lastMark) // what the sum does not cover
	tailLen = len(prevMark) + sumText + 1 + sealLen
)

var (
	errLayout = errors.New("want the keys seq, at, entered, kind, by, data, prev, sum in this order, nothing between them")
	errLong   = fmt.Errorf("line of more than %d bytes", maxLine)
)

// format returns e as a line without its line feed; the sum is computed, e.Sum
// not used. It writes anything: next decides what is a good line.
func format(e Entry) []byte {
	dst := strconv.AppendUint(bytes.Clone(firstMark), e.Seq, 10)
	dst = e.At.AppendFormat(append(dst, headMarks[0]...), timeLayout)
	dst = e.Entered.AppendFormat(append(dst, headMarks[1]...), timeLayout)
	dst = append(append(dst, headMarks[2]...), e.Kind...)
	by, _ := encode(e.By) // a string always encodes; its quotes are in the marks
	dst = append(append(dst, headMarks[3]...), by[1:len(by)-1]...)
	dst = append(append(dst, headMarks[4]...), e.Data...)
	dst = append(append(dst, prevMark...), e.Prev.String()...)
	sum := Sum(sha256.Sum256(append(dst, '"')))
	dst = append(append(dst, sumMark...), sum.String()...)
	return append(dst, lastMark...)
}

// encode returns v as JSON for people: <, > and & stay as they are.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// parse reads one line without its line feed: the whole of its form, but not
// its place in the chain. Data points into line.
func parse(line []byte) (Entry, error) {
	part, err := split(line)
	if err != nil {
		return Entry{}, err
	}
	e := Entry{Kind: Kind(part[3]), Data: part[5]}
	if e.Seq, err = parseSeq(part[0]); err != nil {
		return Entry{}, err
	}
	if e.At, err = parseTime("at", part[1]); err != nil {
		return Entry{}, err
	}
	if e.Entered, err = parseTime("entered", part[2]); err != nil {
		return Entry{}, err
	}
	if !wellFormed(e.Kind) {
		return Entry{}, fmt.Errorf("kind %.40q: want small letters and hyphens", part[3])
	}
	if e.By, err = parseBy(part[4]); err != nil {
		return Entry{}, err
	}
	if !json.Valid(e.Data) || e.Data[0] != '{' || e.Data[len(e.Data)-1] != '}' {
		return Entry{}, fmt.Errorf("data %.40q: want one JSON object", e.Data)
	}
	if err := e.Prev.UnmarshalText(part[6]); err != nil {
		return Entry{}, fmt.Errorf("prev: %w", err)
	}
	if err := e.Sum.UnmarshalText(part[7]); err != nil {
		return Entry{}, err
	}
	return e, nil
}

// split cuts a line into the bytes of its eight values.
func split(line []byte) (part [8][]byte, err error) {
	switch {
	case len(line) == 0:
		return part, errors.New("empty line")
	case len(line) > maxLine:
		return part, errLong
	case line[len(line)-1] == '\r':
		return part, errors.New("line ends in CR LF: want LF alone")
	case !utf8.Valid(line):
		return part, errors.New("not UTF-8")
	}
	head, tail := line[:max(0, len(line)-tailLen)], line[max(0, len(line)-tailLen):]
	rest, ok := bytes.CutPrefix(head, firstMark)
	for i, mark := range headMarks {
		if ok {
			part[i], rest, ok = bytes.Cut(rest, mark)
		}
	}
	part[5] = rest
	if !ok || !tailParts(tail, &part) {
		if !json.Valid(line) {
			return part, errors.New("not JSON")
		}
		return part, errLayout
	}
	return part, nil
}

// tailParts finds prev and sum; it reports whether tail has the form of one.
func tailParts(tail []byte, part *[8][]byte) bool {
	rest, ok := bytes.CutPrefix(tail, prevMark)
	if !ok || len(tail) != tailLen {
		return false
	}
	part[6], rest = rest[:sumText], rest[sumText:]
	if rest, ok = bytes.CutPrefix(rest, sumMark); !ok {
		return false
	}
	part[7], rest = rest[:sumText], rest[sumText:]
	return bytes.Equal(rest, lastMark)
}

func parseSeq(b []byte) (uint64, error) {
	seq, err := strconv.ParseUint(string(b), 10, 64)
	if err != nil || b[0] == '0' {
		return 0, fmt.Errorf("seq %.40q: want a number from 1", b)
	}
	return seq, nil
}

// parseTime reads RFC 3339. The result has a fixed offset, never the zone of
// the machine it runs on: a log reads the same everywhere.
func parseTime(key string, b []byte) (time.Time, error) {
	var t time.Time
	if err := t.UnmarshalText(b); err != nil {
		return t, fmt.Errorf("%s %.40q: want a time as 2006-01-02T15:04:05+01:00", key, b)
	}
	_, offset := t.Zone()
	return t.In(time.FixedZone("", offset)), nil
}

func parseBy(b []byte) (by string, err error) {
	by = string(b)
	if bytes.IndexByte(b, '"') >= 0 || bytes.IndexByte(b, '\\') >= 0 {
		if err := json.Unmarshal([]byte(`"`+by+`"`), &by); err != nil {
			return "", fmt.Errorf("by %.40q: want a JSON string", b)
		}
	}
	return by, text("by", by)
}
