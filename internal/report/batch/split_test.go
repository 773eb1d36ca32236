package batch

import (
	"encoding/csv"
	"io"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestSplitAgrees: on one line split finds what encoding/csv finds, or both
// refuse it.
func TestSplitAgrees(t *testing.T) {
	alphabet := rapid.SampledFrom([]rune(`,,,""" a1.-é` + "\t\x00"))
	rapid.Check(t, func(t *rapid.T) {
		agree(t, rapid.StringOf(alphabet).Draw(t, "line"))
	})
}

// TestSplitReadsBack: what encoding/csv writes of fields without line ends is
// read as it was.
func TestSplitReadsBack(t *testing.T) {
	field := rapid.StringMatching(`[^\r\n]*`)
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOfN(field, 1, 8).Draw(t, "fields")
		var text strings.Builder
		w := csv.NewWriter(&text)
		if err := w.Write(want); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		got, err := split(nil, strings.TrimSuffix(text.String(), "\n"))
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("%q, %v; want %q", got, err, want)
		}
	})
}

func FuzzSplit(f *testing.F) {
	for _, s := range []string{"", ",", "a,b", `"a","b"`, `"a""b",`, `"a`, `a"b`, `"a"b`, `""`, `"",""`, `" , "`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if !strings.ContainsAny(s, "\r\n") {
			agree(t, s)
		}
	})
}

func agree(t interface{ Fatalf(string, ...any) }, line string) {
	want, wantErr := csv.NewReader(strings.NewReader(line)).Read()
	if wantErr == io.EOF { // an empty line is no record there
		want, wantErr = []string{""}, nil
	}
	got, err := split(nil, line)
	if (err != nil) != (wantErr != nil) {
		t.Fatalf("%q: error %v, encoding/csv says %v", line, err, wantErr)
	}
	if err == nil && !slices.Equal(got, want) {
		t.Fatalf("%q: %q, encoding/csv says %q", line, got, want)
	}
}
