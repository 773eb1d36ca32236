package batch

import (
	"errors"
	"io"
	"strings"
	"testing"

	"example.org/headwatch/internal/report/stream"
)

func TestUnusable(t *testing.T) {
	tests := []struct{ name, text, says string }{
		{"empty", "", "no header"},
		{"BOM only", "\ufeff", "no header"},
		{"empty line", "\n,COP 1,1300,0.6,9.1\n", "no header"},
		{"semicolons", "time;pump;speed;suction;discharge\n", "separated by semicolons: want commas"},
		{"tabs", "time\tpump\tspeed\tsuction\tdischarge\n", "separated by tabs: want commas"},
		{"missing column", "time,pump,speed,suction\n", "has no column discharge"},
		{"missing and unknown", "pump,rpm,suction,discharge\n", "has no column speed"},
		{"no header at all", "2026,COP 1,1300,0.6,9.1\n", "has no column pump"},
		{"column twice", "pump,speed,suction,discharge,Speed\n", "names the column speed twice"},
		{"open quote", `pump,"speed,suction,discharge` + "\n", "header: a quote is not closed"},
		{"binary", "\x7fELF\x02\x01\x01\x00\x00,\n", "not a text file"},
		{"UTF-16", "\xff\xfep\x00u\x00m\x00p\x00,\x00", "not a text file"},
		{"old line ends", "pump,speed,suction,discharge\rCOP 1,1300,0.6,9.1\r", "not a text file"},
		{"one long line", strings.Repeat("x,", stream.ChunkSize), "longer than 65536 bytes"},
	}
	b := newBatch(t, NDJSON)
	for _, tt := range tests {
		var out strings.Builder
		tally, err := b.Run(strings.NewReader(tt.text), &out)
		if !errors.Is(err, ErrUnusable) || !strings.Contains(err.Error(), tt.says) || len(err.Error()) > 400 {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.says)
		}
		if tally != (Tally{}) || out.Len() > 0 {
			t.Errorf("%s: %+v and %q all the same", tt.name, tally, out.String())
		}
	}
}

func TestNoDensityAtAll(t *testing.T) {
	s, _ := shipAndPlan(t)
	b, err := New(Options{Ship: s, Format: CSV})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Run(strings.NewReader(header), io.Discard); !errors.Is(err, ErrUnusable) || !strings.Contains(err.Error(), "no density") {
		t.Errorf("error %v, want that there is no density", err)
	}
}

func TestUnusedColumns(t *testing.T) {
	s, p := shipAndPlan(t)
	var said []string
	b, err := New(Options{Ship: s, Plan: p, Format: NDJSON, Say: func(s string) { said = append(said, s) }})
	if err != nil {
		t.Fatal(err)
	}
	out, tally := runText(t, b, "pump,speed,manifold,suction,discharge,remark\nCOP 1,1300,7.2,0.6,9.1,\"calm, clear\"\n")
	if tally != (Tally{Rows: 1}) || decodeLines(t, out)[0]["head_m"] == nil {
		t.Errorf("%+v, %s", tally, out)
	}
	if want := `columns not used: "manifold", "remark"`; len(said) != 1 || said[0] != want {
		t.Errorf("said %q, want %q", said, want)
	}
}

func TestHeaderOnly(t *testing.T) {
	for format, want := range map[Format]string{NDJSON: "", JSON: "[\n\n]\n", CSV: csvHead()} {
		for _, text := range []string{header, strings.TrimSpace(header)} {
			if out, tally := runText(t, newBatch(t, format), text); out != want || tally != (Tally{}) {
				t.Errorf("%s: %q, %+v; want %q", format, out, tally, want)
			}
		}
	}
}
