package journal

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestIndependent reads and writes again a log that another program wrote: its
// sums are Python's hashlib.sha256 over each line's bytes before `,"sum":"`.
func TestIndependent(t *testing.T) {
	data, err := os.ReadFile("testdata/independent.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	entries, finding := scanAll(data)
	if finding != nil || len(entries) != 8 {
		t.Fatalf("%d entries, finding %v", len(entries), finding)
	}
	if got := seal(entries...); !bytes.Equal(got, data) {
		t.Errorf("written again:\n%s\nwant\n%s", got, data)
	}
	e := entries[4]
	if got := e.At.Format(time.RFC3339Nano); got != "2026-03-01T06:40:00.5+01:00" {
		t.Errorf("at %s", got)
	}
	if entries[1].By != `2/O Åse "Ås" Dahl` {
		t.Errorf("by %q", entries[1].By)
	}
	body, err := e.Body()
	if want := (Note{"shore asks for < 8 bar & \"slowly\"\nagreed"}); err != nil || body != want {
		t.Errorf("note %q, %v", body, err)
	}
	if got := entries[0].Sum.String(); got != "cd14ceabb5509ae14de7958f990ede66ad2778f61164bfec3188f13dd4be2dd7" {
		t.Errorf("sum %s", got)
	}
}

func TestParseRefuses(t *testing.T) {
	good := string(format(Entry{Seq: 7, At: noon(), Entered: noon(), Kind: KindNote, By: "2/O", Data: []byte(`{"text":"x"}`)}))
	if _, err := parse([]byte(good)); err != nil {
		t.Fatal(err)
	}
	tests := []struct{ name, old, new, want string }{
		{"leading zero", `"seq":7`, `"seq":07`, `seq "07"`},
		{"seq zero", `"seq":7`, `"seq":0`, `seq "0"`},
		{"negative", `"seq":7`, `"seq":-7`, `seq "-7"`},
		{"fraction", `"seq":7`, `"seq":7.0`, `seq "7.0"`},
		{"seq too big", `"seq":7`, `"seq":18446744073709551616`, "want a number"},
		{"no seq", `"seq":7`, `"seq":`, `seq ""`},
		{"space", `,"at"`, `, "at"`, "in this order"},
		{"space before", `{"seq"`, ` {"seq"`, "in this order"},
		{"space after", `"}`, `"} `, "in this order"},
		{"other order", `,"kind":"note","by":"2/O"`, `,"by":"2/O","kind":"note"`, "in this order"},
		{"missing key", `,"by":"2/O"`, ``, "in this order"},
		{"key more", `,"by":`, `,"who":"x","by":`, `kind "note\",\"who\":\"x"`},
		{"no sum", good[len(good)-sealLen:], `}`, "in this order"},
		{"time without offset", `"at":"2026-03-01T12:00:00+01:00"`, `"at":"2026-03-01T12:00:00"`, "at "},
		{"no such day", `"at":"2026-03-01T`, `"at":"2026-02-30T`, "at "},
		{"entered", `"entered":"2026`, `"entered":"26`, "entered "},
		{"kind empty", `"kind":"note"`, `"kind":""`, "kind"},
		{"kind with capital", `"kind":"note"`, `"kind":"Note"`, "kind"},
		{"kind with quote", `"kind":"note"`, `"kind":"no\"te"`, "kind"},
		{"by empty", `"by":"2/O"`, `"by":""`, "by: empty"},
		{"by with quote", `"by":"2/O"`, `"by":"2"O"`, "by "},
		{"by escapes nothing", `"by":"2/O"`, `"by":"2\O"`, "by "},
		{"by with terminal code", `"by":"2/O"`, `"by":"\u001b[2J"`, "control character"},
		{"data no object", `{"text":"x"}`, `"x"`, "want one JSON object"},
		{"data not closed", `{"text":"x"}`, `{"text":"x"`, "not JSON|want one JSON object"},
		{"data of two", `{"text":"x"}`, `{}{}`, "want one JSON object"},
		{"prev in capitals", `"prev":"0`, `"prev":"A`, "lower-case"},
		{"sum short", `"}`, `}`, "not JSON|in this order"},
		{"sum not hex", good[len(good)-3:], `g"}`, "lower-case"},
		{"not UTF-8", `2/O`, "\xff", "not UTF-8"},
		{"NUL", `2/O`, "\x00", "control character"},
		{"CR LF", `"}`, "\"}\r", "CR LF"},
		{"empty", good, "", "empty line"},
		{"no JSON", good, "2026-03-01 all fast", "not JSON"},
		{"array", good, "[1,2]", "in this order"},
		{"huge", `"x"`, `"` + strings.Repeat("x", maxLine) + `"`, "bytes"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			i := strings.LastIndex(good, tt.old)
			if i < 0 {
				t.Fatalf("%q is not in the line", tt.old)
			}
			_, err := parse([]byte(good[:i] + tt.new + good[i+len(tt.old):]))
			if err == nil {
				t.Fatal("no error")
			}
			for want := range strings.SplitSeq(tt.want, "|") {
				if strings.Contains(err.Error(), want) {
					return
				}
			}
			t.Errorf("error %q does not say %q", err, tt.want)
		})
	}
}

func genTime() *rapid.Generator[time.Time] {
	return rapid.Custom(func(t *rapid.T) time.Time {
		ms := rapid.Int64Range(-2e12, 4e12).Draw(t, "ms")
		minutes := rapid.IntRange(-14*60, 14*60).Draw(t, "offset")
		return time.UnixMilli(ms).In(time.FixedZone("", 60*minutes))
	})
}

func genEntry() *rapid.Generator[Entry] {
	word := rapid.StringMatching(`[^\pC]*[\pL0-9"\\<&,:{}]+[^\pC]*`)
	return rapid.Custom(func(t *rapid.T) Entry {
		data, err := encode(map[string]any{
			"text":       rapid.String().Draw(t, "text"),
			"sum":        word.Draw(t, "inner"), // data may hold the keys of the envelope
			`","data":{`: map[string]string{"prev": `,"sum":"`},
		})
		if err != nil {
			t.Fatal(err)
		}
		return Entry{
			Seq: rapid.Uint64Min(1).Draw(t, "seq"), At: genTime().Draw(t, "at"), Entered: genTime().Draw(t, "entered"),
			Kind: Kind(rapid.StringMatching(`[a-z-]{1,32}`).Draw(t, "kind")), By: word.Draw(t, "by"), Data: data,
			Prev: Sum(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "prev")),
		}
	})
}

func TestParseReturnsWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := genEntry().Draw(t, "entry")
		line := format(want)
		got, err := parse(line)
		if err != nil {
			t.Fatalf("%v\n%s", err, line)
		}
		want.Sum = got.Sum
		if !sameEntry(got, want) {
			t.Fatalf("got %+v\nwant %+v", got, want)
		}
	})
}

// FuzzParse: no line panics, and what parses is written as a line that parses to
// the same.
func FuzzParse(f *testing.F) {
	for line := range bytes.Lines(logBytes(f)) {
		f.Add(bytes.TrimSuffix(line, lineFeed))
	}
	f.Add([]byte(`{"seq":1,"at":"2026-03-01T12:00:00Z","entered":"","kind":"a","by":"\u00e5","data":{},"prev":"","sum":""}`))
	f.Add([]byte(`{"seq":`))
	f.Add(bytes.Repeat([]byte{0}, 200))
	f.Fuzz(func(t *testing.T, line []byte) {
		e, err := parse(line)
		if err != nil {
			return
		}
		again, err := parse(format(truncated(e)))
		if err != nil {
			t.Fatalf("%v: %q", err, line)
		}
		again.Sum = e.Sum // the line may have written a letter of By as \u00e5
		if !sameEntry(again, truncated(e)) {
			t.Fatalf("%+v became %+v", e, again)
		}
	})
}

// truncated returns e with times as the log writes them.
func truncated(e Entry) Entry {
	e.At, e.Entered = e.At.Truncate(time.Millisecond), e.Entered.Truncate(time.Millisecond)
	return e
}
